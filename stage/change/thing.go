package change

import (
	"fmt"
	"math"
	"strings"

	"stubup/base/geom"
	"stubup/base/unit"
	"stubup/plan"
	"stubup/rule"
	"stubup/site"
)

// ThingDiff is a thing on the site that was added, moved, changed or removed:
// what a client moves, before what follows from it.
type ThingDiff struct {
	ID   string
	Said string // as it is called
	How  string // added, moved, changed, removed
	By   geom.Point
	Left []string // runs whose end at it stayed where it was
}

// near is how far from a thing a run may end that is said to end at it: two
// feet, the reach of a stub or a whip of flexible pipe.
const near = 0.61

func thingPoints(o *site.Object) []geom.Point {
	var out []geom.Point
	if o.HasAt {
		out = append(out, o.At)
	}
	for _, ps := range [][]geom.Point{o.Outline, o.Path, o.Legs} {
		out = append(out, ps...)
	}
	return out
}

// marked says whether a thing is a point of the plan, and so told as one.
func marked(k site.Kind) bool { return k == site.Box || k == site.Handhole }

func (r *Result) things(old, new rule.View) {
	was := map[string]*site.Object{}
	for i := range old.Site.Objects {
		was[old.Site.Objects[i].ID] = &old.Site.Objects[i]
	}
	for i := range new.Site.Objects {
		o := &new.Site.Objects[i]
		b := was[o.ID]
		delete(was, o.ID)
		d := ThingDiff{ID: o.ID, Said: rule.Words(o)}
		switch {
		case b == nil || b.Existing == site.Removed && o.Existing != site.Removed:
			d.How = "added"
		case o.Existing == site.Removed && b.Existing != site.Removed:
			d.How = "removed"
		default:
			d.How, d.By = shifted(thingPoints(b), thingPoints(o))
			if d.How == "moved" {
				d.Left = left(b, d.By, old.Plan, new.Plan)
			}
		}
		if d.How == "" || marked(o.Kind) && d.How != "moved" {
			continue
		}
		r.Things = append(r.Things, d)
	}
	for i := range old.Site.Objects {
		o := &old.Site.Objects[i]
		if was[o.ID] != nil && o.Existing != site.Removed && !marked(o.Kind) {
			r.Things = append(r.Things, ThingDiff{ID: o.ID, Said: rule.Words(o), How: "removed"})
		}
	}
}

// shifted tells a thing that went as a whole from one that has another shape.
func shifted(a, b []geom.Point) (how string, by geom.Point) {
	if len(a) != len(b) {
		return "changed", geom.Point{}
	}
	far, apart := 0.0, 0.0
	for i := range a {
		v := b[i].Sub(a[i])
		if i == 0 {
			by = v
		}
		far, apart = max(far, v.Norm()), max(apart, v.Dist(by))
	}
	switch {
	case far <= moved:
		return "", geom.Point{}
	case apart <= moved:
		return "moved", by
	}
	return "changed", geom.Point{}
}

// left names the runs that ended at a thing and did not go with it.
func left(o *site.Object, by geom.Point, old, new *plan.Plan) []string {
	var out []string
	for i := range old.Runs {
		a := &old.Runs[i]
		b := new.RunByID(a.ID)
		if b == nil {
			continue
		}
		ea, eb := runEnds(a), runEnds(b)
		for k := range ea {
			if reach(o, ea[k]) <= near && eb[k].Sub(ea[k]).Dist(by) > 0.05 {
				out = append(out, a.ID)
				break
			}
		}
	}
	return out
}

func runEnds(r *plan.Run) [2]geom.Point {
	e := [2]geom.Point{r.Start.Plan(), r.Start.Plan()}
	if n := len(r.Pieces); n > 0 {
		p := r.Pieces[n-1]
		e[1] = p.At(float64(p.Length)).Plan()
	}
	return e
}

// reach is the distance from a place to a thing; nought inside of it.
func reach(o *site.Object, p geom.Point) float64 {
	if len(o.Outline) > 2 && o.Outline.Contains(p) {
		return 0
	}
	d := math.Inf(1)
	for _, s := range o.Outline.Sides() {
		q, _ := s.Nearest(p)
		d = min(d, q.Dist(p))
	}
	for _, q := range thingPoints(o) {
		d = min(d, q.Dist(p))
	}
	return d
}

func (d ThingDiff) words(u unit.System) string {
	if d.How != "moved" {
		return d.Said + ": " + d.How
	}
	way := func(v float64, plus, minus string) string {
		if v < 0 {
			return u.Length(unit.Metre(-v)) + " " + minus
		}
		return u.Length(unit.Metre(v)) + " " + plus
	}
	var ws []string
	if math.Abs(d.By.X) > moved {
		ws = append(ws, way(d.By.X, "east", "west"))
	}
	if math.Abs(d.By.Y) > moved {
		ws = append(ws, way(d.By.Y, "north", "south"))
	}
	s := fmt.Sprintf("%s: moved %s", d.Said, strings.Join(ws, ", "))
	if len(d.Left) > 0 {
		s += "; " + strings.Join(d.Left, ", ") + " still ends where it did"
	}
	return s
}
