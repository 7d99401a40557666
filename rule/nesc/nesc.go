// Package nesc holds what the National Electrical Safety Code asks of conduit
// systems under a utility's own rules.
package nesc

import (
	_ "embed" // the figures beside this file
	"math"
	"sync"

	"stubup/base/geom"
	"stubup/plan"
	"stubup/rule"
	"stubup/trade/raceway"
)

//go:embed figures.csv
var figuresCSV string

var figures = rule.FiguresOf(figuresCSV)

// Figures returns the figures that the rules lean on.
func Figures() rule.Figures { return figures }

// Rules lists the rules.
var Rules = sync.OnceValue(func() []*rule.Rule {
	return []*rule.Rule{
		{ID: "nesc.320.separation", Work: rule.NESC, Title: "supply and communication conduit keep 12 in of earth between them", Force: rule.Shall, Cite: figures.Cite("separation"), Figure: "separation", Example: "power and fiber conduit side by side in one trench", Look: separation},
	}
})

// separation takes the least clear distance of every pair of a supply and a
// communication run in the ground; concrete or masonry between allows less.
func separation(v rule.View) []rule.Finding {
	var out []rule.Finding
	for i := range v.Plan.Runs {
		for j := i + 1; j < len(v.Plan.Runs); j++ {
			a, b := &v.Plan.Runs[i], &v.Plan.Runs[j]
			if rule.Telecom(a) == rule.Telecom(b) {
				continue
			}
			f := rule.Finding{Path: "runs " + a.ID + " and " + b.ID, Span: b.Run.Span, Required: "at least " + figures.Text("separation") + " of earth between them"}
			f.Mend = "move one of them, or put concrete or masonry between them, which allows less"
			if !a.OK || !b.OK {
				f.Mend = ""
				out = append(out, rule.Lacks(f, "the whole path of both runs"))
				continue
			}
			axis, at := apart(a, b)
			if math.IsInf(axis, 1) {
				out = append(out, rule.Outside(f.Path, "they do not both lie in the ground"))
				continue
			}
			da, ok1 := raceway.Dim(a.Kind, a.Trade)
			db, ok2 := raceway.Dim(b.Kind, b.Trade)
			if !ok1 || !ok2 || da.OD <= 0 || db.OD <= 0 {
				f.Mend = ""
				out = append(out, rule.Lacks(f, "the outside diameter of both raceways"))
				continue
			}
			f.At = []geom.Point{at.Plan()}
			clear := max(axis-float64(da.OD+db.OD)/2, 0)
			if math.Abs(clear-figures.Num("separation")) < geom.Eps {
				clear = figures.Num("separation") // as drawn, to a hundredth of a millimetre
			}
			out = append(out, rule.AtLeast(f, clear, figures.Num("separation"), v.Short))
		}
	}
	if len(out) == 0 {
		return []rule.Finding{rule.Outside("runs", "no supply run lies beside a communication run")}
	}
	return out
}

// cuts is how many chords an arc is taken as.
const cuts = 16

type chord struct{ a, b geom.Point3 }

func buried(r *plan.Run) []chord {
	var out []chord
	for _, q := range r.Pieces {
		if q.A.Z >= 0 && q.B.Z >= 0 {
			continue
		}
		n := 1
		if q.Arc {
			n = cuts
		}
		for k := range n {
			out = append(out, chord{q.At(float64(q.Length) * float64(k) / float64(n)), q.At(float64(q.Length) * float64(k+1) / float64(n))})
		}
	}
	return out
}

// apart returns the least distance between the centerlines of two runs in the
// ground, and where; infinite where one of them has nothing there.
func apart(a, b *plan.Run) (float64, geom.Point3) {
	best, at := math.Inf(1), geom.Point3{}
	for _, s := range buried(a) {
		for _, t := range buried(b) {
			if d, p := gap(s, t); d < best {
				best, at = d, p
			}
		}
	}
	return best, at
}

// gap returns the least distance of two segments: that of their lines where
// the feet lie on both, else the least over the ends.
func gap(s, t chord) (float64, geom.Point3) {
	best, at := math.Inf(1), s.a
	try := func(p, q geom.Point3) {
		if d := p.Dist(q); d < best {
			best, at = d, p
		}
	}
	foot := func(p geom.Point3, c chord) geom.Point3 {
		d := c.b.Sub(c.a)
		l := d.Dot(d)
		if l == 0 {
			return c.a
		}
		return c.a.Add(d.Scale(min(1, max(0, p.Sub(c.a).Dot(d)/l))))
	}
	try(s.a, foot(s.a, t))
	try(s.b, foot(s.b, t))
	try(foot(t.a, s), t.a)
	try(foot(t.b, s), t.b)
	u, w, r := s.b.Sub(s.a), t.b.Sub(t.a), s.a.Sub(t.a)
	den := u.Dot(u)*w.Dot(w) - u.Dot(w)*u.Dot(w)
	if den > geom.Eps*geom.Eps {
		x := (u.Dot(w)*w.Dot(r) - w.Dot(w)*u.Dot(r)) / den
		y := (u.Dot(u)*w.Dot(r) - u.Dot(w)*u.Dot(r)) / den
		if x >= 0 && x <= 1 && y >= 0 && y <= 1 {
			try(s.a.Add(u.Scale(x)), t.a.Add(w.Scale(y)))
		}
	}
	return best, at
}
