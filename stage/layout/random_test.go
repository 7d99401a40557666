package layout

import (
	"fmt"
	"math/rand/v2"

	"stubup/base/geom"
	"stubup/base/unit"
	"stubup/site"
)

// randomSite is a compound of no particular sense: a fence of any size with 1
// to 60 things in and about it, and runs between them.
func randomSite(seed uint64) *site.Site {
	r := rand.New(rand.NewPCG(seed, 77))
	s := compoundA()
	s.Name = fmt.Sprintf("Random %d", seed)
	in, foot := unit.Inch, unit.Foot
	w, h := 12+r.Float64()*90, 12+r.Float64()*70
	f := site.Object{
		ID: "fence", Kind: site.Fence, Outline: fts(0, 0, w, 0, w, h, 0, h),
		Posts: site.Posts{Corner: q(2.875*in, "2-7/8 in"), Spacing: q(unit.Metre(5+r.Float64()*8)*foot, "spacing")},
	}
	if r.IntN(4) == 0 {
		f.Outline = fts(0, 0, w, 0, w, h*0.6, w*0.6, h*0.6, w*0.6, h, 0, h)
	}
	if r.IntN(3) > 0 {
		f.Gates = []site.Gate{{From: ft(0, h*0.4), To: ft(0, h*0.4+min(h*0.4, 12)), Leaves: 1 + r.IntN(2)}}
	}
	s.Objects = []site.Object{f}
	s.Ground.Whips = []site.WhipRule{{To: "fence posts", Object: "fence", Which: []string{"posts", "corner posts", "line posts"}[r.IntN(3)], End: site.ToPipe}}
	kinds := []site.Kind{
		site.Pad, site.Platform, site.Shelter, site.Generator, site.Equipment, site.Frame, site.Bar, site.Service, site.Tower, site.Mast,
		site.Wall, site.Handhole, site.Box, site.Utility, site.OldRing, site.Trench, site.Other,
	}
	any := func(m float64) geom.Point { return ft(-m+r.Float64()*(w+2*m), -m+r.Float64()*(h+2*m)) }
	n := 1 + r.IntN(60)
	for i := range n {
		k := kinds[r.IntN(len(kinds))]
		o := site.Object{ID: fmt.Sprintf("%s-%d", k, i), Kind: k, Existing: []site.Existing{site.New, site.New, site.SeenToday, site.ToldOnly, site.Abandoned, site.Removed}[r.IntN(6)]}
		c := any(10)
		a, b := (1+r.Float64()*14)*0.3048, (1+r.Float64()*10)*0.3048
		rect := geom.Outline{c, c.Add(geom.Point{X: a}), c.Add(geom.Point{X: a, Y: b}), c.Add(geom.Point{Y: b})}
		switch k {
		case site.Utility, site.Trench, site.Wall:
			o.Path = []geom.Point{c, any(10), any(10)}[:2+r.IntN(2)]
			o.Service = []string{"electric", "communication", "gas", "water", "sewer"}[r.IntN(5)]
			o.Band = q(18*in, "18 in")
		case site.Bar, site.Service, site.Handhole, site.Box, site.Mast:
			o.At, o.HasAt = c, true
			o.Lugs = []geom.Point{c}
		case site.Frame:
			o.Legs = rect[:2+r.IntN(3)]
		case site.OldRing:
			o.Outline = rect
			o.Taps = []geom.Point{rect[0]}
		default:
			o.Outline = rect
			if r.IntN(2) == 0 {
				o.Lugs = []geom.Point{rect[0], rect[2]}
			}
		}
		s.Objects = append(s.Objects, o)
		if r.IntN(2) == 0 && k != site.Utility && k != site.Trench && k != site.Wall {
			s.Ground.Whips = append(s.Ground.Whips, site.WhipRule{To: o.ID, Object: o.ID, End: []site.EndKind{site.ToPipe, site.ToFlat, site.ToLug}[r.IntN(3)]})
		}
	}
	s.Ground.Rods.Places = []site.RodPlace{{Corners: true}}
	if r.IntN(2) == 0 {
		s.Ground.Rods.Places = append(s.Ground.Rods.Places, site.RodPlace{Spacing: q(unit.Metre(8+r.Float64()*16)*foot, "spacing")})
	}
	s.Ground.Ring.Pieces = 1 + r.IntN(3)
	for i := range r.IntN(5) {
		s.Runs = append(s.Runs, randomRun(r, fmt.Sprintf("%s %d", []string{"fiber", "power", "service"}[r.IntN(3)], i+1), any(5).At(-0.6)))
	}
	return s
}

func randomRun(r *rand.Rand, id string, at geom.Point3) site.Run {
	x := site.Run{ID: id, Service: id[:5], Raceway: "PVC-40", RacewayText: "PVC schedule 40, 2 in", Start: at, Heading: geom.Point3{X: 1}, From: "hand-off", To: "room"}
	x.Trade, _ = unit.ParseTrade("2")
	if r.IntN(2) == 0 {
		x.Heading = geom.Point3{Y: -1}
	}
	vertical := false
	for range 1 + r.IntN(14) {
		rad := q(unit.Metre(1+r.Float64()*2)*unit.Foot, "radius")
		deg := func(v float64) unit.Q[unit.Degree] {
			return unit.Q[unit.Degree]{SI: unit.Degree(v), Text: "deg", Set: true}
		}
		switch r.IntN(9) {
		case 0, 1, 2:
			x.Steps = append(x.Steps, site.Step{Kind: site.Straight, Length: q(unit.Metre(0.5+r.Float64()*60)*unit.Foot, "straight"), Where: []string{"trench", "wall", ""}[r.IntN(3)]})
		case 3:
			to := []string{"left", "right", "up", "down", "north", "west"}[r.IntN(6)]
			if vertical && (to == "left" || to == "right") {
				to = "north"
			}
			x.Steps = append(x.Steps, site.Step{Kind: site.Bend, Angle: deg([]float64{22.5, 30, 45, 90}[r.IntN(4)]), Toward: to, Radius: rad})
		case 4:
			x.Steps = append(x.Steps, site.Step{Kind: site.Offset, Length: q(0.5, "18 in"), Angle: deg(30), Toward: "up", Radius: rad})
		case 5:
			x.Steps = append(x.Steps, site.Step{Kind: site.HandholeS})
		case 6:
			x.Steps = append(x.Steps, site.Step{Kind: site.Body, Letter: []string{"LB", "LL", "LR", "T", "C"}[r.IntN(5)]})
		case 7:
			x.Steps = append(x.Steps, site.Step{Kind: site.Entry, Core: q(4*unit.Inch, "4 in")})
		case 8:
			x.Steps = append(x.Steps, site.Step{Kind: site.Expansion, Length: q(4*unit.Inch, "4 in")})
		}
	}
	return x
}
