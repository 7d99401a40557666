package layout

import (
	"context"

	"stubup/answer"
	"stubup/base/geom"
	"stubup/base/unit"
	"stubup/plan"
	"stubup/rule"
	"stubup/site"
)

func q(m unit.Metre, text string) unit.Q[unit.Metre] {
	return unit.Q[unit.Metre]{SI: m, Text: text, Set: true}
}

func ft(x, y float64) geom.Point { return geom.Point{X: x * 0.3048, Y: y * 0.3048} }

func fts(xy ...float64) []geom.Point {
	var out []geom.Point
	for i := 0; i+1 < len(xy); i += 2 {
		out = append(out, ft(xy[i], xy[i+1]))
	}
	return out
}

func view(s *site.Site) rule.View {
	p := plan.Make(s)
	return rule.View{Site: s, Plan: p, Answer: answer.New(context.Background(), p)}
}

// compoundA is the reference compound, as examples/compound-a.yaml has it.
func compoundA() *site.Site {
	in, foot := unit.Inch, unit.Foot
	wire := site.Conductor{Size: 11, Solid: true, Tinned: true, Text: "2 AWG solid tinned copper"}
	if w, err := unit.ParseWire("2 AWG"); err == nil {
		wire.Size = w
	}
	s := &site.Site{Name: "Compound A", Revision: "A", Owner: site.Profile{Rules: []site.OwnerRule{
		{Key: "bend-sum", Angle: unit.Q[unit.Degree]{SI: 180, Text: "180 deg", Set: true}, Service: "fiber", Source: "owner's standard, section 5.2"},
	}}}
	s.Objects = []site.Object{
		{
			ID: "fence", Kind: site.Fence, Outline: fts(0, 0, 40, 0, 40, 30, 0, 30),
			Posts: site.Posts{Corner: q(2.875*in, "2-7/8 in"), GatePost: q(4*in, "4 in"), LinePost: q(2.375*in, "2-3/8 in"), Spacing: q(10*foot, "10 ft")},
			Gates: []site.Gate{{From: ft(0, 21), To: ft(0, 9), Leaves: 2}},
		},
		{ID: "platform", Kind: site.Platform, Outline: fts(10, 10, 30, 10, 30, 20, 10, 20), Steel: true},
		{ID: "generator", Kind: site.Generator, Outline: fts(33, 4, 36, 4, 36, 8, 33, 8), Lugs: fts(33, 5, 33, 7)},
		{ID: "h-frame", Kind: site.Frame, Name: "H-frame", Legs: fts(6, 6, 6, 10), OD: q(3.5*in, "3-1/2 in")},
		{ID: "cable-bridge", Kind: site.Frame, Legs: fts(14, 24, 18, 24), OD: q(3.5*in, "3-1/2 in")},
		{ID: "exterior-bar", Kind: site.Bar, At: ft(21, 22), HasAt: true, Lugs: fts(20, 22, 22, 22)},
		{ID: "service", Kind: site.Service, At: ft(24, 20), HasAt: true, Lugs: fts(24, 20)},
		{ID: "tower-ring", Kind: site.OldRing, Existing: site.ToldOnly, Outline: fts(68, 8, 82, 8, 82, 22, 68, 22), Taps: fts(68, 12, 68, 18), Depth: q(30*in, "30 in"), Conductor: wire},
	}
	s.Ground = site.Grounding{
		Conductor: wire, Stub: q(18*in, "18 in"),
		Ring: &site.Ring{Inside: "fence", Distance: q(2*foot, "2 ft"), Depth: q(30*in, "30 in"), Corner: q(8*in, "8 in")},
		Rods: &site.Rods{Diameter: q(0.625*in, "5/8 in"), Length: q(8*foot, "8 ft"), Places: []site.RodPlace{{Corners: true}, {At: ft(20, 2), HasAt: true}, {At: ft(20, 28), HasAt: true}}},
		Whips: []site.WhipRule{
			{To: "fence corner posts", Object: "fence", Which: "corner posts", End: site.ToPipe},
			{To: "fence gate posts", Object: "fence", Which: "gate posts", End: site.ToPipe},
			{To: "platform corners", Object: "platform", Which: "corners", End: site.ToFlat},
			{To: "generator lugs", Object: "generator", Which: "lugs", End: site.ToLug},
			{To: "h-frame legs", Object: "h-frame", Which: "legs", End: site.ToPipe},
			{To: "cable-bridge legs", Object: "cable-bridge", Which: "legs", End: site.ToPipe},
			{To: "exterior-bar lugs", Object: "exterior-bar", Which: "lugs", End: site.ToLug},
			{To: "tower-ring taps", Object: "tower-ring", Which: "taps", End: site.ToTap},
			{To: "service lugs", Object: "service", Which: "lugs", End: site.ToLug},
		},
		Jumpers: []site.JumperRule{{Object: "fence"}},
	}
	return s
}

// compoundB is a smaller compound with two runs, one half laid, and a rod
// that stopped short: a scenario of our own.
func compoundB() *site.Site {
	in, foot := unit.Inch, unit.Foot
	s := compoundA()
	s.Name, s.Revision = "Compound B", "C"
	s.Objects = s.Objects[:5]
	s.Ground.Whips = s.Ground.Whips[:6]
	s.Objects = append(s.Objects,
		site.Object{ID: "room-wall", Kind: site.Wall, Path: fts(20, 32.2, 36, 32.2), Width: q(8*in, "8 in"), Rated: true},
		site.Object{ID: "old-water", Kind: site.Utility, Path: fts(-4, -3, 44, 33), Service: "water", Band: q(18*in, "18 in")},
		site.Object{ID: "handhole-1", Kind: site.Handhole, At: ft(26, 4), HasAt: true},
	)
	deg := func(v float64) unit.Q[unit.Degree] { return unit.Q[unit.Degree]{SI: unit.Degree(v), Set: true} }
	r24, r36 := q(24*in, "24 in"), q(36*in, "36 in")
	trade, _ := unit.ParseTrade("2")
	s.Runs = []site.Run{
		{
			ID: "fiber 1", Service: "fiber", Raceway: "PVC-40", RacewayText: "PVC schedule 40, 2 in", Trade: trade, From: "gate hand-off", To: "room", Start: ft(-2, 4).At(0.45), Heading: geom.Point3{Z: -1},
			Steps: []site.Step{
				{Kind: site.Straight, Length: q(12*in, "12 in")},
				{Kind: site.Expansion, Length: q(4*in, "4 in")},
				{Kind: site.Straight, Length: q(6*in, "6 in")},
				{Kind: site.Bend, Angle: deg(90), Toward: "east", Radius: r24},
				{Kind: site.Straight, Length: q(26*foot-24*in+2*foot, "28 ft"), Where: "trench"},
				{Kind: site.HandholeS, Object: "handhole-1"},
				{Kind: site.Straight, Length: q(5*foot, "5 ft"), Where: "trench"},
				{Kind: site.Bend, Angle: deg(90), Toward: "left", Radius: r36},
				{Kind: site.Straight, Length: q(18*foot, "18 ft"), Where: "trench"},
				{Kind: site.Bend, Angle: deg(45), Toward: "left", Radius: r36},
				{Kind: site.Straight, Length: q(4*foot, "4 ft"), Where: "trench"},
				{Kind: site.Bend, Angle: deg(90), Toward: "up", Radius: r24},
				{Kind: site.Straight, Length: q(4*foot, "4 ft"), Where: "wall"},
				{Kind: site.Body, Letter: "LB", Toward: "north"},
				{Kind: site.Entry, Object: "room-wall", Core: q(3*in, "3 in")},
				{Kind: site.Straight, Length: q(18*in, "18 in"), Where: "indoor"},
			},
		},
		{
			ID: "power 2", Service: "power", Raceway: "PVC-80", RacewayText: "PVC schedule 80, 2 in", Trade: trade, From: "generator", To: "service", Start: ft(34, 9).At(-0.76), Heading: geom.Point3{Y: 1},
			Steps: []site.Step{
				{Kind: site.Straight, Length: q(9*foot, "9 ft"), Where: "trench"},
				{Kind: site.Offset, Length: q(12*in, "12 in"), Angle: deg(30), Toward: "up", Radius: r24},
				{Kind: site.Straight, Length: q(3*foot, "3 ft"), Where: "trench"},
				{Kind: site.Bend, Angle: deg(90), Toward: "west", Radius: r24},
				{Kind: site.Straight, Length: q(6*foot, "6 ft"), Where: "trench"},
			},
		},
	}
	s.State = site.State{
		AsOf: "2026-05-12T14:05:00-05:00", Laid: []site.Station{{Run: "fiber 1", To: q(20*foot, "20 ft")}}, Open: []site.Station{{Run: "fiber 1", To: q(36*foot, "36 ft"), Width: q(18*in, "18 in")}},
		Rods: []site.RodState{{Rod: "R3", Driven: q(5*foot, "5 ft"), Refused: true, How: "45"}, {Rod: "R2", Driven: q(8*foot, "8 ft")}},
	}
	return s
}
