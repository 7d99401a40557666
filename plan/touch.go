package plan

import (
	"fmt"
	"math"

	"stubup/base/diag"
	"stubup/base/geom"
	"stubup/base/unit"
	"stubup/site"
)

// Metal closer than this counts as touching: what a crew can lay apart on
// purpose is farther. Common practice, no source.
const touchApart = 0.05

// touching finds ground metal that would lie on other metal without a joint
// there. It bonds by chance and tells nobody; a weld or a gap is wanted.
func (p *Plan) touching() {
	if p.Ring == nil {
		return
	}
	ring := geom.Outline(p.Ring.Polyline(0.01)).Sides()
	words := func(q geom.Point) string { return p.at(q) }
	for i := range p.Rods {
		for _, o := range p.Rods[:i] {
			if r := &p.Rods[i]; r.At.Dist(o.At) < math.Max(touchApart, float64(r.Radius+o.Radius)) {
				p.bad(diag.Error, diag.Touching, r.Span, fmt.Sprintf("rod %s stands in rod %s, at %s", r.ID, o.ID, words(r.At)), "take one of them out, or move it")
				break
			}
		}
	}
	for i, r := range p.Radials {
		// Its own joint and what is next to it is no news.
		dir := r.To.Sub(r.From).Unit()
		rest := geom.Segment{A: r.From.Add(dir.Scale(math.Min(2*touchApart, float64(r.Length)/2))), B: r.To}
		if on := along(rest, ring); on > touchApart {
			p.bad(diag.Error, diag.Touching, r.Span, fmt.Sprintf("radial %s lies along the ring for %s", r.ID, p.Site.Units.Length(unit.Metre(on))), "turn it away from the ring; metal side by side shares its soil and buys nothing")
			continue
		}
		meets := func(s []geom.Segment, what string) {
			for _, x := range s {
				if q, ok := rest.Crosses(x); ok {
					p.bad(diag.Warning, diag.Touching, r.Span, fmt.Sprintf("radial %s crosses %s at %s, with no joint there", r.ID, what, words(q)), "weld them where they meet, or route it clear; it is solved as one metal with the ring either way")
					return
				}
			}
		}
		meets(ring, "the ring")
		for _, o := range p.Radials[:i] {
			meets([]geom.Segment{{A: o.From.Add(o.To.Sub(o.From).Unit().Scale(2 * touchApart)), B: o.To}}, "radial "+o.ID)
		}
	}
	for i := range p.Site.Objects {
		o := &p.Site.Objects[i]
		if o.Kind != site.OldRing || o.Existing == site.Removed || len(o.Outline) < 2 || !o.Depth.Set {
			continue
		}
		if math.Abs(float64(o.Depth.SI-p.Ring.Depth)) > touchApart {
			continue
		}
	crossing:
		for _, a := range ring {
			for _, b := range o.Outline.Sides() {
				if q, ok := a.Crosses(b); ok {
					p.bad(diag.Warning, diag.Touching, o.Span, fmt.Sprintf("the ring crosses %s at %s, at its own depth", p.words(o.ID), words(q)), "lay them apart, or write a tap there; found metal is measured before it is cut or joined")
					break crossing
				}
			}
		}
	}
}

// along returns how much of a segment lies on others.
func along(s geom.Segment, others []geom.Segment) float64 {
	sum := 0.0
	for _, o := range others {
		if math.Abs(s.Dir().Cross(o.Dir())) > 0.02 {
			continue
		}
		// The shared stretch, measured along s.
		d := s.Dir()
		a, b := o.A.Sub(s.A).Dot(d), o.B.Sub(s.A).Dot(d)
		lo, hi := math.Max(0, math.Min(a, b)), math.Min(s.Len(), math.Max(a, b))
		if hi <= lo {
			continue
		}
		mid := s.A.Add(d.Scale((lo + hi) / 2))
		if q, _ := o.Nearest(mid); q.Dist(mid) < touchApart {
			sum += hi - lo
		}
	}
	return sum
}
