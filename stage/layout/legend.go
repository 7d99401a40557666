package layout

import (
	"fmt"

	"stubup/base/draw"
	"stubup/plan"
)

// legendRow is one sign with what it is.
type legendRow struct {
	items []draw.Item
	words string
}

// signList lists the signs that occur on the sheet, in a set order: lines
// first, then points, then how far things are.
func (m *maker) signList() []legendRow {
	var out []legendRow
	row := func(key string, words string, items []draw.Item) {
		if key == "" || m.seen[key] {
			out = append(out, legendRow{items, words})
		}
	}
	line := []draw.Pt{{X: 0, Y: 0}, {X: 16, Y: 0}}
	o := draw.Pt{X: 8, Y: 0}
	plain := func(p draw.Pen) []draw.Item { return []draw.Item{draw.Line{Layer: "legend", Pen: p, Pts: line}} }
	row("ring", m.ringWords(), ConductorLine("legend", "", line, true, Planned, 1))
	row("whip", "whip: bare tail from the ring", ConductorLine("legend", "", line, false, Planned, 1))
	row("run", "run, with its word in the gap", append(RacewayLine("", line, Planned), draw.Line{Layer: "legend", Pen: pen(draw.InkPaper, hair), Pts: line}))
	row("existing", "conductor there already", plain(pen(draw.InkText, wide)))
	row("told", "conductor there already, told only: nobody has seen it", plain(pen(draw.InkText, medium, 1.4, 1.6)))
	row("trench", "trench", TrenchBand("", line, 3, Planned))
	for _, s := range []string{"electric", "communication", "gas", "water", "sewer"} {
		i, letter := located(s)
		row("located "+s, s+" line, located by others", []draw.Item{
			draw.Line{Layer: "legend", Pen: pen(i, medium, 12, 4, 2, 4), Pts: line},
			draw.Text{Layer: "legend", At: draw.Pt{X: 8, Y: textSize / 2}, Size: textSize, Anchor: draw.Middle, Bold: true, S: letter, Halo: true},
		})
	}
	row("band", "edge of the band it may lie in", plain(pen(draw.InkText, hair, 1, 2)))
	row("fence", "fence", FenceLine("", line[0], line[1]))
	row("gate", "gate leaf and its sweep", GateLeaves("", draw.Pt{X: 6}, draw.Pt{X: 10}, draw.Pt{Y: -1}, 1))
	row("wall", "wall", []draw.Item{
		draw.Area{Layer: "legend", Pts: []draw.Pt{{X: 0, Y: -0.8}, {X: 16, Y: -0.8}, {X: 16, Y: 0.8}, {X: 0, Y: 0.8}}, Hatch: 1.6, HatchPen: pen(draw.InkText, hair)},
		draw.Line{Layer: "legend", Pen: pen(draw.InkText, medium), Close: true, Pts: []draw.Pt{{X: 0, Y: -0.8}, {X: 16, Y: -0.8}, {X: 16, Y: 0.8}, {X: 0, Y: 0.8}}},
	})
	row("post", "post of the fence; corner and gate posts are larger", append(PostSign("", draw.Pt{X: 5}, "line"), PostSign("", draw.Pt{X: 11}, "corner")...))
	row("leg", "leg of a frame, a pipe", PostSign("", o, "leg"))
	row("rod", m.rodWords(), RodSign("", o, signSize, Planned, RodLook{}))
	row("sections", "a tick for each further section of a rod", RodSign("", o, signSize, Planned, RodLook{Extra: 1}))
	row("rod 45", "rod driven at 45 degrees", RodSign("", o, signSize, In, RodLook{Lies: "45"}))
	row("rod flat", "rod laid flat", RodSign("", draw.Pt{X: 5}, signSize, In, RodLook{Lies: "flat"}))
	for _, k := range []plan.JointKind{plan.Tap, plan.Cross, plan.Splice, plan.ToRod, plan.ToPipe, plan.ToFlat} {
		row("joint "+string(k), k.Words()+", welded", JointSign("", o, signSize, k, Planned))
	}
	row("joint "+string(plan.Lug), "two-hole lug, bolted", JointSign("", o, signSize, plan.Lug, Planned))
	row("joint "+string(plan.Clamp), "clamp", JointSign("", o, signSize, plan.Clamp, Planned))
	row("set off", "joint drawn aside; the dot is its place", append([]draw.Item{
		draw.Line{Layer: "legend", Pen: pen(draw.InkText, hair), Pts: []draw.Pt{{X: 3, Y: 0}, {X: 10, Y: 0}}},
		draw.Circle{Layer: "legend", Pen: pen(draw.InkText, hair), C: draw.Pt{X: 3, Y: 0}, R: 0.4, Fill: true, FillInk: draw.InkText},
	}, JointSign("", draw.Pt{X: 12}, signSize, plan.Tap, Planned)...))
	row("eye", "upper end of a whip, its tail bare", append(ConductorLine("legend", "", []draw.Pt{{X: 1}, {X: 8}}, false, Planned, 1), WhipSign("", draw.Pt{X: 9}, eyeSize, 0, Planned)...))
	row("bar", "ground bar", BarSign("", o, 10, 2.2, 0, 4))
	row("jumper", "gate jumper, flexible, a clamp at both ends", JumperSign("", draw.Pt{X: 3}, draw.Pt{X: 13}, Planned))
	row(string(plan.PullHandhole), "handhole", PullSign("", o, signSize, plan.PullHandhole, "", 0))
	row(string(plan.PullBox), "pull box", PullSign("", o, signSize, plan.PullBox, "", 0))
	row(string(plan.PullBody), "conduit body, by its letters", PullSign("", o, signSize, plan.PullBody, "LR", 0))
	row("riser", "raceway goes up or down", []draw.Item{
		draw.Circle{Layer: "legend", Pen: pen(draw.InkText, medium), C: o, R: 1},
		draw.Circle{Layer: "legend", Pen: pen(draw.InkText, hair), C: o, R: 0.3, Fill: true, FillInk: draw.InkText},
	})
	row("entry", "core through a wall", CoreSign("", o, 1.4, 90, false))
	row("firestop", "core in a rated wall, to be firestopped", CoreSign("", o, 1.4, 90, true))
	row("expansion", "expansion fitting", ExpansionSign("", o, 4, 0))
	row("struck", "taken out", append(plain(pen(draw.InkText, medium)), CrayonStrokes("", line)...))
	row(fmt.Sprintf("progress %d", Open), "trench open", TrenchBand("", line, 3.2, Open))
	if m.seen[fmt.Sprintf("progress %d", In)] {
		out = append(out, legendRow{ConductorLine("legend", "", line, true, In, 1), "in and logged: solid, wide"})
	}
	row(fmt.Sprintf("progress %d", Tested), "joint tested: second frame", JointSign("", o, 3.2, plan.Tap, Tested))
	row(fmt.Sprintf("progress %d", Covered), "backfilled: earth ticks", ConductorLine("legend", "", line, true, Covered, -1))
	row(fmt.Sprintf("progress %d", Rejected), "rejected: to be done again", JointSign("", o, 3, plan.Tap, Rejected))
	return out
}

func (m *maker) ringWords() string {
	r := m.p.Ring
	if r == nil {
		return "ring"
	}
	s := "ring, planned"
	if w := m.p.Wire(); w.Text != "" {
		s = "ring, " + w.Text
	}
	if g := m.s.Ground.Ring; g != nil && g.Depth.Set {
		s += ", " + g.Depth.Text + " deep"
	}
	return s
}

func (m *maker) rodWords() string {
	if w := m.s.Ground.Rods; w != nil && w.Diameter.Set && w.Length.Set {
		return "rod, " + w.Diameter.Text + " x " + w.Length.Text
	}
	return "rod"
}
