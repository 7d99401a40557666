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
		{Key: "bend-sum", Angle: unit.Q[unit.Degree]{SI: 180, Text: "180 deg", Set: true}, Service: "fiber", Source: "owner's standard, section 5.2"}}}}
	s.Objects = []site.Object{
		{ID: "fence", Kind: site.Fence, Outline: fts(0, 0, 40, 0, 40, 30, 0, 30),
			Posts: site.Posts{Corner: q(2.875*in, "2-7/8 in"), GatePost: q(4*in, "4 in"), LinePost: q(2.375*in, "2-3/8 in"), Spacing: q(10*foot, "10 ft")},
			Gates: []site.Gate{{From: ft(0, 21), To: ft(0, 9), Leaves: 2}}},
		{ID: "platform", Kind: site.Platform, Outline: fts(10, 10, 30, 10, 30, 20, 10, 20), Steel: true},
		{ID: "generator", Kind: site.Generator, Outline: fts(33, 4, 36, 4, 36, 8, 33, 8), Lugs: fts(33, 5, 33, 7)},
		{ID: "h-frame", Kind: site.Frame, Name: "H-frame", Legs: fts(6, 6, 6, 10), OD: q(3.5*in, "3-1/2 in")},
		{ID: "cable-bridge", Kind: site.Frame, Legs: fts(14, 24, 18, 24), OD: q(3.5*in, "3-1/2 in")},
		{ID: "exterior-bar", Kind: site.Bar, At: ft(21, 22), HasAt: true, Lugs: fts(20, 22, 22, 22)},
		{ID: "service", Kind: site.Service, At: ft(24, 20), HasAt: true, Lugs: fts(24, 20)},
		{ID: "tower-ring", Kind: site.OldRing, Existing: site.ToldOnly, Outline: fts(68, 8, 82, 8, 82, 22, 68, 22), Taps: fts(68, 12, 68, 18), Depth: q(30*in, "30 in"), Conductor: wire},
	}
	s.Ground = site.Grounding{Conductor: wire, Stub: q(18*in, "18 in"),
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
