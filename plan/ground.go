package plan

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"stubup/base/diag"
	"stubup/base/geom"
	"stubup/base/stable"
	"stubup/base/unit"
	"stubup/site"
)

// moldRoom is how far a second joint is set off where two would sit at one
// place: two molds need the room. Common practice, no source.
const moldRoom = 6 * unit.Inch

// clearOfSplice is the least free length of ring on each side that a closing
// splice is given. Common practice, no source.
const clearOfSplice = 1 * unit.Foot

// posts lists the posts of every fence and frame in the order in which a
// person walks the fence.
func (p *Plan) posts(n *numbering) {
	var wants []want
	for _, o := range p.Site.Objects {
		switch o.Kind {
		case site.Fence:
			p.fencePosts(&o)
		case site.Frame:
			if o.Existing == site.Removed {
				continue
			}
			for i, at := range o.Legs {
				p.Posts = append(p.Posts, Post{Key: fmt.Sprintf("%s/leg-%d", o.ID, i+1), Kind: "leg", At: at, OD: o.OD})
			}
		}
	}
	for i := range p.Posts {
		if p.Posts[i].Fence != "" {
			wants = append(wants, want{key: "post/" + p.Posts[i].Key, prefix: "post ", at: p.Posts[i].At})
		}
	}
	ids := n.assign(wants)
	k := 0
	for i := range p.Posts {
		if p.Posts[i].Fence != "" {
			p.Posts[i].ID = ids[k]
			k++
			continue
		}
		obj, leg, _ := strings.Cut(p.Posts[i].Key, "/leg-")
		p.Posts[i].ID = p.words(obj) + " leg " + leg
	}
}

// words returns the name of an object as a person says it.
func (p *Plan) words(id string) string {
	if o := p.object(id); o != nil && o.Name != "" {
		return o.Name
	}
	return strings.ReplaceAll(id, "-", " ")
}

func (p *Plan) fencePosts(o *site.Object) {
	if len(o.Outline) < 3 {
		return
	}
	inward := 1.0
	if o.Outline.Area() < 0 {
		inward = -1
	}
	gateNo := 0
	for i, side := range o.Outline.Sides() {
		if side.Len() < geom.Eps {
			continue
		}
		d := side.Dir()
		type mark struct {
			s      float64
			kind   string
			key    string
			isGate int // +1 opening starts after this post
		}
		marks := []mark{{0, "corner", fmt.Sprintf("%s/corner-%d", o.ID, i+1), 0}}
		gap := map[float64]bool{}
		for gi, g := range o.Gates {
			a, ta := side.Nearest(g.From)
			b, tb := side.Nearest(g.To)
			if a.Dist(g.From) > 0.05 || b.Dist(g.To) > 0.05 {
				continue
			}
			if ta > tb {
				ta, tb = tb, ta
				a, b = b, a
			}
			l := side.Len()
			marks = append(marks, mark{ta * l, "gate", fmt.Sprintf("%s/gate-%d-a", o.ID, gi+1), 1}, mark{tb * l, "gate", fmt.Sprintf("%s/gate-%d-b", o.ID, gi+1), 0})
			gap[ta*l] = true
			gateNo++
			p.Gates = append(p.Gates, Gate{Fence: o.ID, From: a, To: b, Leaves: max(1, g.Leaves), Inward: d.Left().Scale(inward)})
		}
		stable.Sort(marks, func(a, b mark) int { return cmp.Compare(a.s, b.s) })
		line := 0
		for k, m := range marks {
			end := side.Len()
			if k+1 < len(marks) {
				end = marks[k+1].s
			}
			od := o.Posts.Corner
			if m.kind == "gate" {
				od = o.Posts.GatePost
			}
			p.Posts = append(p.Posts, Post{Key: m.key, Kind: m.kind, At: side.A.Add(d.Scale(m.s)), OD: od, Fence: o.ID})
			if gap[m.s] && m.isGate == 1 {
				continue // the opening itself has no line posts
			}
			for _, s := range lineStations(o, side, m.s, end) {
				line++
				p.Posts = append(p.Posts, Post{Key: fmt.Sprintf("%s/line-%d-%d", o.ID, i+1, line), Kind: "line", At: side.A.Add(d.Scale(s)), OD: o.Posts.LinePost, Fence: o.ID})
			}
		}
	}
	if gateNo < len(o.Gates) {
		for _, g := range o.Gates {
			if !onOutline(o.Outline, g.From) || !onOutline(o.Outline, g.To) {
				p.bad(diag.Error, diag.Contradiction, g.Span, "this gate does not stand on the fence line", "put both its ends on one side of the fence")
			}
		}
	}
}

func onOutline(o geom.Outline, q geom.Point) bool {
	for _, s := range o.Sides() {
		if n, _ := s.Nearest(q); n.Dist(q) <= 0.05 {
			return true
		}
	}
	return false
}

// lineStations returns where line posts stand between two terminal posts: as
// the document lists them, or evenly, none further apart than the spacing.
func lineStations(o *site.Object, side geom.Segment, from, to float64) []float64 {
	var out []float64
	if len(o.Posts.Line) > 0 {
		for _, q := range o.Posts.Line {
			n, t := side.Nearest(q)
			s := t * side.Len()
			if n.Dist(q) < 0.05 && s > from+geom.Eps && s < to-geom.Eps {
				out = append(out, s)
			}
		}
		stable.Ascend(out)
		return out
	}
	if !o.Posts.Spacing.Set || o.Posts.Spacing.SI <= 0 {
		return nil
	}
	n := int(math.Ceil((to-from)/float64(o.Posts.Spacing.SI) - 1e-9))
	if n > 10000 {
		return nil
	}
	for k := 1; k < n; k++ {
		out = append(out, from+(to-from)*float64(k)/float64(n))
	}
	return out
}

// ring resolves the loop.
func (p *Plan) ring() {
	w := p.Site.Ground.Ring
	if w == nil || !w.Depth.Set {
		return
	}
	if (w.Inside != "" || len(w.Around) > 0) && !w.Distance.Set || w.Inside == "" && len(w.Around) == 0 && w.Along == "" && len(w.Points) == 0 {
		// What is missing or wrong has its own diag. A ring drawn from a
		// guess would put every joint in the wrong place.
		p.bad(diag.Warning, diag.NotEvaluated, w.Span, "the ring is left out: how it lies is missing or wrong", "mend that entry; the rods, whips and joints follow")
		return
	}
	var r *Ring
	switch {
	case w.Inside != "":
		o := p.object(w.Inside)
		if o == nil || len(o.Outline) < 3 {
			p.bad(diag.Error, diag.NotEvaluated, w.Span, fmt.Sprintf("the ring cannot be drawn: %q has no corners", w.Inside), "give it corners, or draw the ring by its own points")
			return
		}
		in, ok := o.Outline.Offset(float64(w.Distance.SI))
		if !ok {
			p.bad(diag.Error, diag.DoesNotFit, w.Span, fmt.Sprintf("a ring %s inside %s leaves no room: a side shrinks to nothing or the ring crosses itself", w.Distance.Text, p.words(w.Inside)), "use a smaller distance, or draw the ring by its own points")
			return
		}
		r = ringOf(in)
		r.Name = w.Distance.Text + " inside the " + p.words(w.Inside)
	case len(w.Around) > 0:
		var pts []geom.Point
		for _, id := range w.Around {
			if o := p.object(id); o != nil {
				pts = append(pts, o.Outline...)
				pts = append(pts, o.Legs...)
				pts = append(pts, o.Lugs...)
				if o.HasAt {
					pts = append(pts, o.At)
				}
			}
		}
		hull := geom.Hull(pts)
		if len(hull) < 3 {
			p.bad(diag.Error, diag.DoesNotFit, w.Span, "the objects named do not enclose an area to go around", "name at least one object with corners")
			return
		}
		r = ringAround(hull, float64(w.Distance.SI))
		r.Name = w.Distance.Text + " around the " + strings.Join(w.Around, ", ")
	case w.Along != "":
		o := p.object(w.Along)
		if o == nil || len(o.Path)+len(o.Outline) < 3 {
			p.bad(diag.Error, diag.NotEvaluated, w.Span, fmt.Sprintf("the ring cannot be drawn: %q has no path of at least three points", w.Along), "give the trench a path, or draw the ring by its own points")
			return
		}
		pts := o.Outline
		if len(o.Path) > 0 {
			pts = o.Path
		}
		r = ringOf(openEnd(pts))
		r.Name = "along the " + p.words(w.Along)
	default:
		r = ringOf(openEnd(w.Points))
		r.Name = "by its corner points"
	}
	if r == nil || len(r.legs) < 3 {
		p.bad(diag.Error, diag.ZeroLength, w.Span, "the ring has fewer than three sides of any length", "give it at least three corners that are not on one line")
		return
	}
	if q, bad := geom.Outline(r.Polyline(0.01)).Without(0.001).CrossesItself(); bad {
		p.bad(diag.Error, diag.CrossesItself, w.Span, fmt.Sprintf("the ring crosses itself near %s", p.at(q)), "move a corner so that the sides only meet at corners")
		return
	}
	r.Depth = w.Depth.SI
	r.Radius = w.Corner.Or(0)
	r.Pieces = max(1, w.Pieces)
	r.Built = r.Takeoff
	for _, b := range r.Bends() {
		r.Built -= unit.Metre(b.Radius * (2*math.Tan(math.Abs(b.Turn)/2) - math.Abs(b.Turn)))
		if b.Radius < float64(r.Radius)-geom.Eps {
			p.bad(diag.Warning, diag.DoesNotFit, w.Span, fmt.Sprintf("the corner near %s has no room for a bend of %s", p.at(b.Corner), w.Corner.Text), "move the corner, or use a smaller bend radius if the adopted works allow it")
		}
	}
	p.Ring = r
}

// openEnd drops a last point that repeats the first.
func openEnd(pts []geom.Point) []geom.Point {
	if len(pts) > 1 && pts[0].Near(pts[len(pts)-1]) {
		return pts[:len(pts)-1]
	}
	return pts
}

func ringOf(corners []geom.Point) *Ring {
	var legs []leg
	for _, s := range geom.Outline(corners).Sides() {
		legs = append(legs, straightLeg(s.A, s.B))
	}
	r := newRing(legs)
	for i := range r.legs {
		u, v := r.legs[(i+len(r.legs)-1)%len(r.legs)].dir(0), r.legs[i].dir(0)
		turn := math.Abs(math.Atan2(u.Cross(v), u.Dot(v))) * 180 / math.Pi
		if turn < 1e-6 {
			continue // a point on a straight side is no corner
		}
		r.Corners = append(r.Corners, r.legs[i].a)
		r.CornerAngle = append(r.CornerAngle, turn)
	}
	return r
}

// ringAround is the hull of the objects moved outward by c, with arcs of
// radius c at its corners: its length is the hull's perimeter + 2 pi c.
func ringAround(hull geom.Outline, c float64) *Ring {
	var legs []leg
	n := len(hull)
	for i := range hull {
		prev := geom.Segment{A: hull[(i+n-1)%n], B: hull[i]}
		next := geom.Segment{A: hull[i], B: hull[(i+1)%n]}
		n0, n1 := prev.Dir().Left().Scale(-c), next.Dir().Left().Scale(-c)
		if c > geom.Eps {
			sweep := math.Atan2(n0.Cross(n1), n0.Dot(n1))
			legs = append(legs, arcLeg(hull[i], c, math.Atan2(n0.Y, n0.X), sweep))
		}
		legs = append(legs, straightLeg(next.A.Add(n1), next.B.Add(n1)))
	}
	r := newRing(legs)
	for _, l := range r.legs {
		if l.arc {
			r.Corners = append(r.Corners, l.at(l.length/2))
			r.CornerAngle = append(r.CornerAngle, l.sweep*180/math.Pi)
		}
	}
	if c <= geom.Eps {
		return ringOf(hull)
	}
	return r
}

// rods resolves the driven rods, in ring order.
func (p *Plan) rods(n *numbering) {
	w := p.Site.Ground.Rods
	if w == nil || p.Ring == nil || !w.Length.Set || !w.Diameter.Set {
		if w != nil && p.Ring == nil && p.Site.Ground.Ring != nil {
			p.bad(diag.Warning, diag.NotEvaluated, w.Span, "the rods are left out because the ring could not be drawn", "mend the ring first")
		}
		return
	}
	add := func(sp diag.Span, key string, at geom.Point, moves, corner bool) {
		q, s, _ := p.Ring.Nearest(at)
		for _, r := range p.Rods {
			if r.At.Dist(q) < float64(moldRoom) {
				return // a rod stands there already
			}
		}
		p.Rods = append(p.Rods, Rod{
			Key: key, Span: sp, At: q, Station: unit.Metre(s), Top: p.Ring.Depth, Length: w.Length.SI, Driven: w.Length.SI,
			Sections: sections(w), Radius: w.Diameter.SI / 2, Corner: corner,
		})
	}
	moving := map[string]bool{}
	for _, pl := range w.Places {
		switch {
		case pl.Corners:
			for i, c := range p.Ring.Corners {
				add(pl.Span, fmt.Sprintf("rod/ring/corner-%d", i+1), c, false, true)
			}
		case pl.Mids:
			k := 0
			for _, s := range p.Ring.legs {
				if !s.arc {
					k++
					add(pl.Span, fmt.Sprintf("rod/ring/mid-%d", k), s.at(s.length/2), false, false)
				}
			}
		case pl.Spacing.Set && pl.Spacing.SI > 0:
			cnt := int(math.Floor(p.Ring.Len()/float64(pl.Spacing.SI) + 1e-9))
			if cnt > 500 {
				p.bad(diag.Error, diag.OutOfRange, pl.Span, fmt.Sprintf("rods every %s would be %d rods", pl.Spacing.Text, cnt), "use a spacing of at least twice the rod's length")
				continue
			}
			for k := range max(1, cnt) {
				add(pl.Span, fmt.Sprintf("rod/ring/spaced-%d", k+1), p.Ring.At(p.Ring.Len()*float64(k)/float64(max(1, cnt))), false, false)
			}
		case pl.HasAt:
			q, _, d := p.Ring.Nearest(pl.At)
			if d > 1*float64(unit.Foot) {
				p.bad(diag.Error, diag.DoesNotFit, pl.Span, fmt.Sprintf("the rod at %s is %s from the ring", p.at(pl.At), p.Site.Units.Length(unit.Metre(d))), fmt.Sprintf("put it on the ring, for instance at %s, or run a radial to it", p.at(q)))
				continue
			}
			key := "rod/ring/at" + placeKey(pl.At)
			moving[key] = true
			add(pl.Span, key, pl.At, true, false)
		}
	}
	stable.Sort(p.Rods, func(a, b Rod) int { return cmp.Compare(a.Station, b.Station) })
	var wants []want
	for _, r := range p.Rods {
		wants = append(wants, want{key: r.Key, prefix: "R", at: r.At, moves: moving[r.Key]})
	}
	for i, id := range n.assign(wants) {
		p.Rods[i].ID = id
	}
	for _, st := range p.Site.State.Rods {
		r := p.RodByID(st.Rod)
		if r == nil {
			var ids []string
			for _, r := range p.Rods {
				ids = append(ids, r.ID)
			}
			p.bad(diag.Error, diag.RefUnknown, st.Span, fmt.Sprintf("there is no rod %q", st.Rod), "the rods are "+strings.Join(ids, ", "))
			continue
		}
		if st.Driven.Set {
			if st.Driven.SI > r.Length+1e-9 {
				p.bad(diag.Error, diag.Contradiction, st.Span, fmt.Sprintf("rod %s is %s long and cannot be driven %s", r.ID, p.Site.Units.Length(r.Length), st.Driven.Text), "write the length in the ground, or a longer rod")
				continue
			}
			r.Driven = st.Driven.SI
		}
		r.Refused = st.Refused
		r.Lies = st.How
		r.Dir = p.Outward(r.At)
	}
}

// sections returns how many pieces a rod is coupled from.
func sections(w *site.Rods) int {
	if w.Section.Set && w.Section.SI > 0 {
		return max(1, int(math.Ceil(float64(w.Length.SI/w.Section.SI)-1e-9)))
	}
	return 1
}

// Outward is the unit direction away from the ring's inside at a place on it:
// along the diagonal at a corner, square to the side elsewhere.
func (p *Plan) Outward(at geom.Point) geom.Point {
	if p.Ring == nil {
		return geom.Point{}
	}
	n := len(p.Ring.legs)
	for i, l := range p.Ring.legs {
		prev := p.Ring.legs[(i+n-1)%n]
		if l.a.Dist(at) < 0.01 {
			d := prev.dir(prev.length).Sub(l.dir(0)).Unit()
			if d.Norm() > 0 {
				if p.Ring.Inside(at.Add(d.Scale(0.05))) {
					d = d.Scale(-1)
				}
				return d
			}
		}
	}
	for _, l := range p.Ring.legs {
		if q, s := l.nearest(at); q.Dist(at) < 0.01 {
			d := l.dir(s).Left()
			if p.Ring.Inside(at.Add(d.Scale(0.05))) {
				d = d.Scale(-1)
			}
			return d
		}
	}
	return geom.Point{}
}

// terminal is a place that a whip can go to.
type terminal struct {
	key   string // "corner-1"
	at    geom.Point
	od    unit.Q[unit.Metre]
	words string
	kind  string // of a post
}

// terminals lists what a whip rule asks for, in order.
func (p *Plan) terminals(r site.WhipRule) []terminal {
	o := p.object(r.Object)
	if o == nil {
		return nil
	}
	var out []terminal
	posts := func(want func(Post) bool) {
		line := 0
		for _, q := range p.Posts {
			if !strings.HasPrefix(q.Key, o.ID+"/") || !want(q) {
				continue
			}
			if q.Kind == "line" && r.Every > 1 {
				// Every n-th post: counted along the fence from each
				// terminal post, which is bonded by itself.
				line++
				if line%r.Every != 0 {
					continue
				}
			} else if q.Kind != "line" {
				line = 0
			}
			name := q.ID
			if q.Fence != "" && q.Kind != "line" {
				name = q.Kind + " " + q.ID
			}
			out = append(out, terminal{strings.TrimPrefix(q.Key, o.ID+"/"), q.At, q.OD, name, q.Kind})
		}
	}
	list := func(pts []geom.Point, word string, od unit.Q[unit.Metre]) {
		for i, q := range pts {
			name := p.words(o.ID)
			if len(pts) > 1 {
				name += fmt.Sprintf(" %s %d", word, i+1)
			}
			out = append(out, terminal{fmt.Sprintf("%s-%d", word, i+1), q, od, name, word})
		}
	}
	which := r.Which
	if which == "" {
		switch {
		case o.Kind == site.Fence:
			which = "posts"
		case len(o.Lugs) > 0:
			which = "lugs"
		case len(o.Legs) > 0:
			which = "legs"
		case len(o.Taps) > 0:
			which = "taps"
		case len(o.Outline) > 0:
			which = "corners"
		default:
			which = "at"
		}
	}
	switch which {
	case "corner posts":
		posts(func(q Post) bool { return q.Kind == "corner" })
	case "gate posts":
		posts(func(q Post) bool { return q.Kind == "gate" })
	case "line posts":
		posts(func(q Post) bool { return q.Kind == "line" })
	case "posts":
		posts(func(q Post) bool { return true })
	case "legs":
		for i, q := range o.Legs {
			out = append(out, terminal{fmt.Sprintf("leg-%d", i+1), q, o.OD, fmt.Sprintf("%s leg %d", p.words(o.ID), i+1), "leg"})
		}
	case "corners":
		list(o.Outline, "corner", unit.Q[unit.Metre]{})
	case "lugs":
		list(o.Lugs, "lug", unit.Q[unit.Metre]{})
	case "taps":
		list(o.Taps, "tap", unit.Q[unit.Metre]{})
	case "at":
		if o.HasAt {
			list([]geom.Point{o.At}, "at", unit.Q[unit.Metre]{})
		}
	}
	if r.Count > 0 && len(out) > r.Count {
		// The person wants so many and does not say which: those nearest to
		// the ring, in their own order.
		idx := make([]int, len(out))
		for i := range idx {
			idx[i] = i
		}
		stable.Sort(idx, func(a, b int) int {
			_, _, da := p.Ring.Nearest(out[a].at)
			_, _, db := p.Ring.Nearest(out[b].at)
			if math.Abs(da-db) < geom.Eps {
				return 0
			}
			return cmp.Compare(da, db)
		})
		idx = idx[:r.Count]
		stable.Ascend(idx)
		kept := make([]terminal, 0, r.Count)
		for _, i := range idx {
			kept = append(kept, out[i])
		}
		out = kept
	}
	return out
}

// whips resolves the bare tails.
func (p *Plan) whips(n *numbering) {
	if p.Ring == nil {
		return
	}
	g := p.Site.Ground
	var wants []want
	taken := map[string]bool{}
	for _, r := range g.Whips {
		o := p.object(r.Object)
		if o == nil {
			continue // a dangling reference already has its diag
		}
		ts := p.terminals(r)
		if len(ts) == 0 || (r.Count > 0 && len(ts) < r.Count) {
			p.bad(diag.Error, diag.RefUnknown, r.Span, fmt.Sprintf("%q finds %d places to bond on %s", r.To, len(ts), p.words(o.ID)), "give that object its lugs, legs, taps, posts or corners")
		}
		for _, t := range ts {
			key := "whip/" + o.ID + "/" + t.key
			if taken[key] {
				continue // asked for by two rules: one whip serves
			}
			taken[key] = true
			w := Whip{Key: key, Span: r.Span, To: t.at, Item: t.words, Object: o.ID, Which: t.kind, End: r.End, OD: t.od, Wire: r.Conductor}
			if !w.OD.Set {
				w.OD = r.OD
			}
			if !w.Wire.Set() {
				w.Wire = g.Conductor
			}
			q, s, d := p.Ring.Nearest(t.at)
			w.From, w.Station, w.Reach = q, unit.Metre(s), unit.Metre(d)
			if d < geom.Eps && r.End == site.ToTap {
				p.bad(diag.Error, diag.ZeroLength, r.Span, fmt.Sprintf("the whip to %s has no length: it starts on the ring", t.words), "move the tap, or tie it by a cross joint on the ring itself")
				continue
			}
			if r.End == site.ToTap {
				// It ends on a buried conductor: no stub-up, and a rise only
				// where the depths differ, which is lost in the round-up.
				depth := o.Depth.Or(p.Ring.Depth)
				w.EndZ = -depth
				w.Rise = 0
			} else {
				w.Rise = p.Ring.Depth + g.Stub.Or(0)
				w.EndZ = g.Stub.Or(0)
			}
			w.Length = p.roundUp(w.Reach + w.Rise)
			p.Whips = append(p.Whips, w)
		}
	}
	stable.Sort(p.Whips, func(a, b Whip) int { return cmp.Compare(a.Station, b.Station) })
	for _, w := range p.Whips {
		wants = append(wants, want{key: w.Key, prefix: "W", at: w.To})
	}
	for i, id := range n.assign(wants) {
		p.Whips[i].ID = id
	}
}

// roundUp takes a cut length up to the next foot, or to the next 0.1 m on a
// site in SI units.
func (p *Plan) roundUp(m unit.Metre) unit.Metre {
	step := unit.Foot
	if p.Site.Units == unit.SI {
		step = 0.1
	}
	return unit.Metre(math.Ceil(float64(m/step)-1e-6)) * step
}

func (p *Plan) radials(n *numbering) {
	if p.Ring == nil {
		return
	}
	var wants []want
	for _, r := range p.Site.Ground.Radials {
		q, s, d := p.Ring.Nearest(r.From)
		if d > 1*float64(unit.Foot) {
			p.bad(diag.Error, diag.DoesNotFit, r.Span, fmt.Sprintf("the radial starts %s from the ring", p.Site.Units.Length(unit.Metre(d))), fmt.Sprintf("start it on the ring, for instance at %s", p.at(q)))
			continue
		}
		dir := p.Outward(q)
		if !r.Outward {
			dir = r.Toward.Sub(q).Unit()
		}
		if dir.Norm() == 0 || !r.Length.Set {
			p.bad(diag.Error, diag.ZeroLength, r.Span, "the radial has no direction or no length", "say \"outward: yes\" or give a point it runs toward, and its length")
			continue
		}
		rad := Radial{Span: r.Span, Key: "radial" + placeKey(q), From: q, To: q.Add(dir.Scale(float64(r.Length.SI))), Station: unit.Metre(s), Length: r.Length.SI, Wire: p.Site.Ground.Conductor}
		p.Radials = append(p.Radials, rad)
		wants = append(wants, want{key: rad.Key, prefix: "X", at: q, moves: true})
		if w := p.Site.Ground.Rods; r.EndRod && w != nil {
			p.Rods = append(p.Rods, Rod{Key: "rod/" + rad.Key, Span: r.Span, At: rad.To, Station: unit.Metre(s), Top: p.Ring.Depth, Length: w.Length.SI, Driven: w.Length.SI, Sections: sections(w), Radius: w.Diameter.SI / 2, Radial: true})
		}
	}
	for i, id := range n.assign(wants) {
		p.Radials[i].ID = id
	}
	wants = nil
	for _, r := range p.Rods {
		if r.ID == "" {
			wants = append(wants, want{key: r.Key, prefix: "R", at: r.At})
		}
	}
	k := 0
	ids := n.assign(wants)
	for i := range p.Rods {
		if p.Rods[i].ID == "" {
			p.Rods[i].ID = ids[k]
			k++
		}
	}
}

// joints types, places and numbers every joint, in walking order.
func (p *Plan) joints(n *numbering) {
	if p.Ring == nil {
		return
	}
	g := p.Site.Ground
	wire := p.Ring.wire(g)
	depth := p.Ring.Depth
	var taken []float64 // stations that carry a joint already
	room := func(s float64) bool {
		for _, t := range taken {
			d := math.Abs(s - t)
			d = min(d, p.Ring.Len()-d)
			if d < float64(moldRoom)-1e-6 {
				return false
			}
		}
		return true
	}
	for i := range p.Rods {
		r := &p.Rods[i]
		size := p.Site.Units.Short(2 * r.Radius)
		j := Joint{Key: "joint/" + r.Key, Kind: ToRod, Wire: wire, Item: "rod", ItemSize: size, Shape: "through", Position: "vertical", At: r.At, Z: -r.Top, Station: r.Station, Ties: []string{"ring", r.ID}}
		if r.Radial {
			j.Shape, j.Ties = "end", []string{"radial", r.ID}
		} else {
			taken = append(taken, float64(r.Station))
		}
		p.Joints = append(p.Joints, j)
	}
	// Joints that were set off are kept clear of each other too.
	setOff := func(s float64) float64 {
		if room(s) {
			return s
		}
		step := float64(moldRoom)
		for k := 1; k < 200; k++ {
			back, ahead := s-step*float64(k), s+step*float64(k)
			// At a corner the side that comes first in ring order; the first
			// corner is where the ring starts, so there that side lies ahead.
			if back >= 0 && room(back) {
				return back
			}
			if room(ahead) {
				return math.Mod(ahead, p.Ring.Len())
			}
		}
		return s
	}
	for i := range p.Whips {
		w := &p.Whips[i]
		s := setOff(float64(w.Station))
		taken = append(taken, s)
		w.Tap = p.Ring.At(s)
		rise := w.Rise
		if w.End == site.ToTap {
			rise = unit.Metre(math.Abs(float64(p.Ring.Depth + w.EndZ)))
		}
		w.Cut = max(w.Length, p.roundUp(unit.Metre(w.Tap.Dist(w.To))+rise))
		p.Joints = append(p.Joints, Joint{
			Key: "joint/tap/" + w.Key, Kind: Tap, Wire: wire, Item: "conductor", ItemSize: w.Wire.Text, Shape: "run and tap", Position: "horizontal",
			At: w.Tap, Z: -depth, Station: unit.Metre(s), Ties: []string{"ring", w.ID},
		})
		end := Joint{Key: "joint/end/" + w.Key, Wire: w.Wire, At: w.To, Z: w.EndZ, Station: unit.Metre(s), Ties: []string{w.ID, w.Item}}
		switch w.End {
		case site.ToPipe:
			end.Kind, end.Item, end.Shape, end.Position = ToPipe, "vertical pipe", "end", "vertical"
			end.ItemSize = w.OD.Text
			if !w.OD.Set {
				end.ItemSize, end.Unknown = "cannot tell, measure before ordering", true
			}
		case site.ToFlat:
			end.Kind, end.Item, end.ItemSize, end.Shape, end.Position = ToFlat, "flat steel", "flat", "end", "vertical face"
		case site.ToTap:
			end.Kind, end.Item, end.ItemSize, end.Shape, end.Position = Tap, "conductor", w.Wire.Text, "run and tap", "horizontal"
			if o := p.object(w.Object); o != nil {
				if o.Conductor.Set() {
					end.ItemSize = o.Conductor.Text
				} else {
					end.ItemSize, end.Unknown = "cannot tell, measure before ordering", true
				}
				end.ToldOnly = o.Existing == site.ToldOnly
				end.Ties = []string{w.ID, p.words(o.ID)}
			}
		default:
			end.Kind, end.Item, end.ItemSize, end.Shape, end.Position = Lug, "two-hole lug", w.Wire.Text, "end", "bolted"
		}
		p.Joints = append(p.Joints, end)
	}
	for i := range p.Radials {
		r := &p.Radials[i]
		s := setOff(float64(r.Station))
		taken = append(taken, s)
		p.Joints = append(p.Joints, Joint{
			Key: "joint/" + r.Key, Kind: Tap, Wire: wire, Item: "conductor", ItemSize: r.Wire.Text, Shape: "run and tap", Position: "horizontal",
			At: p.Ring.At(s), Z: -depth, Station: unit.Metre(s), Ties: []string{"ring", r.ID},
		})
	}
	for k, s := range p.spliceStations(taken, p.Ring.Pieces) {
		key := "joint/splice/ring-closing"
		if k > 0 {
			key = fmt.Sprintf("joint/splice/ring-%d", k)
		}
		p.Joints = append(p.Joints, Joint{
			Key: key, Kind: Splice, Wire: wire, Item: "conductor", ItemSize: wire.Text, Shape: "inline", Position: "horizontal",
			At: p.Ring.At(s), Z: -depth, Station: unit.Metre(s), Ties: []string{"ring", "ring"},
		})
	}
	stable.Sort(p.Joints, func(a, b Joint) int { return cmp.Compare(a.Station, b.Station) })
	var wants []want
	for _, j := range p.Joints {
		wants = append(wants, want{key: j.Key, prefix: "J", at: j.At})
	}
	for i, id := range n.assign(wants) {
		p.Joints[i].ID = id
		p.Joints[i].Place = p.PlaceWords(p.Joints[i].At)
	}
}

func (r *Ring) wire(g site.Grounding) site.Conductor {
	if g.Ring != nil && g.Ring.Conductor.Set() {
		return g.Ring.Conductor
	}
	return g.Conductor
}

// Wire returns the conductor of the ring.
func (p *Plan) Wire() site.Conductor {
	if p.Ring == nil {
		return p.Site.Ground.Conductor
	}
	return p.Ring.wire(p.Site.Ground)
}

// spliceStations places the closing splice, and one more for each further
// piece, each in the middle of the longest stretch of ring without a joint.
// The first goes on the last side, where the ring comes home.
func (p *Plan) spliceStations(taken []float64, pieces int) []float64 {
	used := slices.Clone(taken)
	for _, b := range p.Ring.Bends() {
		_, s, _ := p.Ring.Nearest(b.Corner)
		used = append(used, s)
	}
	last := p.Ring.legs[len(p.Ring.legs)-1]
	var out []float64
	for k := range pieces {
		lo, hi := 0.0, p.Ring.Len()
		if k == 0 {
			lo, hi = last.s0, last.s0+last.length
		}
		cuts := []float64{lo, hi}
		for _, u := range used {
			if u > lo && u < hi {
				cuts = append(cuts, u)
			}
		}
		stable.Ascend(cuts)
		best, at := -1.0, (lo+hi)/2
		for i := 1; i < len(cuts); i++ {
			if d := cuts[i] - cuts[i-1]; d > best+1e-9 {
				best, at = d, (cuts[i]+cuts[i-1])/2
			}
		}
		if best < 2*float64(clearOfSplice) && p.Site.Ground.Ring != nil {
			p.bad(diag.Warning, diag.DoesNotFit, p.Site.Ground.Ring.Span, "there is little room for the closing splice between the other joints", "leave two feet of ring without a joint")
		}
		out = append(out, at)
		used = append(used, at)
	}
	return out
}

// jumpers lists the flexible bonds of the gates: one for each leaf.
func (p *Plan) jumpers(n *numbering) {
	for _, r := range p.Site.Ground.Jumpers {
		k := 0
		for _, g := range p.Gates {
			if g.Fence != r.Object {
				continue
			}
			w := g.To.Sub(g.From)
			for leaf := range min(g.Leaves, 2) {
				k++
				post, tip := g.From, g.From.Add(w.Scale(0.12))
				if leaf == 1 {
					post, tip = g.To, g.To.Sub(w.Scale(0.12))
				}
				p.Jumpers = append(p.Jumpers, Jumper{Key: fmt.Sprintf("jumper/%s/%d", r.Object, k), ID: fmt.Sprintf("gate jumper %d", k), From: p.postAt(post), At: post, Leaf: tip})
			}
		}
	}
	_ = n
}

func (p *Plan) postAt(q geom.Point) string {
	for _, x := range p.Posts {
		if x.At.Dist(q) < 0.05 {
			return x.ID
		}
	}
	return ""
}

// at prints a place as the document would write it.
func (p *Plan) at(q geom.Point) string {
	if p.Site.Units == unit.SI {
		return fmt.Sprintf("(%s m, %s m)", unit.Trim(q.X, 2), unit.Trim(q.Y, 2))
	}
	return fmt.Sprintf("(%s ft, %s ft)", unit.Trim(unit.Metre(q.X).Ft(), 2), unit.Trim(unit.Metre(q.Y).Ft(), 2))
}

// PlaceWords says where a place is by two tapes from named posts whose
// circles cross well, and on which side of the line between them it lies.
// Two tapes are what finds a buried thing again.
func (p *Plan) PlaceWords(q geom.Point) string {
	type tape struct {
		post *Post
		d    float64
		way  geom.Point
	}
	near := make([]tape, 0, len(p.Posts))
	for i := range p.Posts {
		a := &p.Posts[i]
		d := a.At.Dist(q)
		if d < 0.15 {
			return "at " + a.ID
		}
		if d <= 60 {
			near = append(near, tape{a, d, a.At.Sub(q).Unit()})
		}
	}
	var a, b *tape
	best := math.Inf(1)
	for i := range near {
		for k := i + 1; k < len(near); k++ {
			u, v := &near[i], &near[k]
			sin := math.Abs(u.way.Cross(v.way))
			if sin < 0.5 { // the circles meet at under 30 degrees: a poor fix
				continue
			}
			if score := (u.d + v.d) / sin; score < best-1e-6 {
				best, a, b = score, u, v
			}
		}
	}
	if a == nil {
		return "no two posts cross well here: set a stake and tape to it"
	}
	side := "left"
	if b.post.At.Sub(a.post.At).Cross(q.Sub(a.post.At)) < 0 {
		side = "right"
	}
	l := p.Site.Units.Length
	return fmt.Sprintf("%s from %s, %s from %s, on the %s going from %s to %s",
		l(unit.Metre(a.d)), a.post.ID, l(unit.Metre(b.d)), b.post.ID, side, a.post.ID, b.post.ID)
}

// points gathers the one point list.
func (p *Plan) points() {
	p.Points = make([]Point, 0, len(p.Rods)+len(p.Joints)+len(p.Whips)+len(p.Posts)+4)
	for _, r := range p.Rods {
		what := fmt.Sprintf("rod %s x %s", p.Site.Units.Short(2*r.Radius), p.Site.Units.Length(r.Length))
		if r.Refused {
			what += ", refused with " + p.Site.Units.Length(r.Driven) + " driven"
		}
		p.Points = append(p.Points, Point{ID: r.ID, Key: r.Key, Kind: KindRod, At: r.At.At(-float64(r.Top)), What: what, Place: p.PlaceWords(r.At), Span: r.Span})
	}
	for _, j := range p.Joints {
		p.Points = append(p.Points, Point{ID: j.ID, Key: j.Key, Kind: KindJoint, At: j.At.At(float64(j.Z)), What: j.Kind.Words() + ", " + strings.Join(j.Ties, " to "), Place: j.Place})
	}
	for _, w := range p.Whips {
		p.Points = append(p.Points, Point{ID: w.ID, Key: w.Key, Kind: KindWhip, At: w.To.At(float64(w.EndZ)), What: "whip to " + w.Item + ", " + p.Site.Units.Length(w.Length), Place: p.PlaceWords(w.To), Span: w.Span})
	}
	for _, r := range p.Runs {
		for _, q := range r.Pulls {
			if q.ID != "" {
				p.Points = append(p.Points, Point{ID: q.ID, Key: q.Key, Kind: KindPull, At: q.At, What: q.Words() + " on " + r.ID, Place: p.PlaceWords(q.At.Plan()), Span: q.Span})
			}
		}
	}
	for _, q := range p.Posts {
		if q.Fence != "" {
			p.Points = append(p.Points, Point{ID: q.ID, Key: "post/" + q.Key, Kind: KindPost, At: q.At.At(0), What: q.Kind + " post", Place: "on the fence"})
		}
	}
	order := map[PointKind]int{KindRod: 0, KindJoint: 1, KindWhip: 2, KindPull: 3, KindPost: 4}
	stable.Sort(p.Points, func(a, b Point) int {
		return cmp.Or(cmp.Compare(order[a.Kind], order[b.Kind]), cmp.Compare(idNumber(a.ID), idNumber(b.ID)))
	})
}
