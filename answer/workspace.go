package answer

import (
	"fmt"
	"math"

	"stubup/base/geom"
	"stubup/base/trace"
	"stubup/base/unit"
	"stubup/site"
	"stubup/trade/feeder"
)

// WorkSpace is the room in front of equipment beside what it must have.
type WorkSpace struct {
	Answer // depth that must be clear
	Need   feeder.Workspace
	Width  unit.Metre // as wide as the equipment, and at least what the code says
	Clear  unit.Metre // depth that is clear; +Inf where nothing is drawn across
	Across string     // what stands across, in words; "" for nothing
	Room   geom.Outline
}

// WorkSpaceOf returns the working space of a piece of equipment: the strip in
// front of its face, and how far what is drawn leaves it clear.
func (b *Book) WorkSpaceOf(o *site.Object) WorkSpace {
	path := "objects." + o.ID + ".working-space"
	return memo(b, path, func() WorkSpace {
		w := o.Work
		switch {
		case w == nil:
			return WorkSpace{Answer: cannot("whether " + o.Name + " has live parts")}
		case len(o.Outline) < 3:
			return WorkSpace{Answer: cannot("the corners of " + o.Name)}
		case w.Faces == "":
			return WorkSpace{Answer: cannot("to which side " + o.Name + " is opened")}
		case !w.Volts.Set:
			return WorkSpace{Answer: cannot("the volts to ground in " + o.Name)}
		case w.Condition == 0:
			return WorkSpace{Answer: cannot("what is across from " + o.Name + ": nothing live or grounded, something grounded, or something live")}
		}
		need, ok := feeder.WorkspaceFor(w.Volts.SI, w.Condition)
		if !ok {
			return WorkSpace{Answer: cannot(fmt.Sprintf("a printed working space for %s to ground", w.Volts.Text))}
		}
		out := map[string]geom.Point{"north": {Y: 1}, "south": {Y: -1}, "east": {X: 1}, "west": {X: -1}}[w.Faces]
		side := geom.Point{X: -out.Y, Y: out.X}
		face, lo, hi := math.Inf(-1), math.Inf(1), math.Inf(-1)
		for _, p := range o.Outline {
			face = math.Max(face, p.Dot(out))
			lo, hi = math.Min(lo, p.Dot(side)), math.Max(hi, p.Dot(side))
		}
		s := WorkSpace{Need: need, Width: max(need.Width, unit.Metre(hi-lo)), Clear: unit.Metre(math.Inf(1))}
		mid := (lo + hi) / 2
		lo, hi = mid-float64(s.Width)/2, mid+float64(s.Width)/2
		at := func(depth, across float64) geom.Point { return out.Scale(face + depth).Add(side.Scale(across)) }
		s.Room = geom.Outline{at(0, lo), at(float64(need.Depth), lo), at(float64(need.Depth), hi), at(0, hi)}
		for i := range b.Plan.Site.Objects {
			x := &b.Plan.Site.Objects[i]
			if x.ID == o.ID {
				continue
			}
			for _, seg := range across(x) {
				if d, ok := into(seg, out, side, face, lo, hi); ok && unit.Metre(d) < s.Clear {
					s.Clear, s.Across = unit.Metre(d), b.words(x)
				}
			}
		}
		sys := b.Plan.Site.Units
		s.Answer = b.keep(trace.Derive(path, o.Name+": working space, depth", float64(need.Depth), "m", sys.Length(need.Depth),
			trace.By{ID: "table 110.26(A)(1)", Put: fmt.Sprintf("%s to ground, condition %d; %s wide, %s high", w.Volts.Text, w.Condition, sys.Length(s.Width), sys.Length(need.Height)), Cite: need.Cite},
			input(path+".volts", o.Name+": volts to ground", float64(w.Volts.SI), "V", w.Volts.Text)))
		return s
	})
}

func (b *Book) words(o *site.Object) string {
	if o.Name != "" {
		return "the " + o.Name
	}
	return o.ID
}

// across lists the edges of what can stand in a working space. What lies flat
// or below grade does not.
func across(o *site.Object) []geom.Segment {
	if o.Existing == site.Removed {
		return nil
	}
	var out []geom.Segment
	switch o.Kind {
	case site.Shelter, site.Fence, site.Generator, site.Equipment, site.Service, site.Tower, site.Mast, site.Wall, site.Box, site.Other:
		out = append(out, o.Outline.Sides()...)
		for i := 1; i < len(o.Path); i++ {
			out = append(out, geom.Segment{A: o.Path[i-1], B: o.Path[i]})
		}
	case site.Frame:
	default:
		return nil
	}
	for _, p := range o.Legs {
		out = append(out, geom.Segment{A: p, B: p})
	}
	return out
}

// into returns how far in front of a face the nearest part of a segment lies
// that is within a strip; ok is false where it stands beside or behind.
func into(s geom.Segment, out, side geom.Point, face, lo, hi float64) (float64, bool) {
	a, b := s.A.Dot(side), s.B.Dot(side)
	da, db := s.A.Dot(out)-face, s.B.Dot(out)-face
	if a > b {
		a, b, da, db = b, a, db, da
	}
	const hair = 1e-6 // an edge of the strip is not in it
	if b < lo+hair || a > hi-hair {
		return 0, false
	}
	if a < lo {
		da += (db - da) * (lo - a) / (b - a)
		a = lo
	}
	if b > hi {
		db = da + (db-da)*(hi-a)/(b-a)
	}
	near, far := math.Min(da, db), math.Max(da, db)
	if far < -hair {
		return 0, false
	}
	return math.Max(0, near), true
}
