package site

import (
	"fmt"
	"math"
	"slices"

	"stubup/base/diag"
	"stubup/base/geom"
	"stubup/base/stable"
	"stubup/base/unit"
)

// mostTimes is by how much a season may multiply a resistivity before it is
// taken for a slip of the pen.
const mostTimes = 1000

// seasons reads what a season does to the top of the soil.
func (d *decoder) seasons(f *fields) {
	s := &d.site.Soil
	s.FrozenTimes, _ = d.number(f.node("frozen-times"), f.at("frozen-times"), 1, mostTimes)
	s.DryTimes, _ = d.number(f.node("dry-times"), f.at("dry-times"), 1, mostTimes)
	s.DryDepth = f.length("dry-depth", anyDepth)
	s.Season = f.word("season", "usual", "wet", "dry", "frozen")
	s.Surveyed = f.date("surveyed")
	if s.FrozenTimes > 0 && !f.has("frost") {
		d.warn(diag.KeyMissing, f.key("frozen-times"), f.at("frozen-times"), "nobody says how deep the ground freezes", "add \"frost: 36 in\", as the building department says it")
	}
}

// rodLog reads what a rod read on its way down. A reading that cannot be is
// left out; more metal in the ground never reads more, so one that rises is
// told.
func (d *decoder) rodLog(r *fields, x *RodState) {
	x.Date = r.date("date")
	x.Temperature = quantity[unit.Celsius](d, r.node("temperature"), r.at("temperature"), airTemp)
	if !r.has("log") {
		return
	}
	r.each("log", func(_ int, n *node, path string) {
		l, ok := d.fields(n, path, "state.rods[].log[]")
		if !ok {
			return
		}
		y := RodReading{Span: d.place(n, path), Driven: l.length("driven", rodLog), Ohms: quantity[unit.Ohm](d, l.node("ohms"), l.at("ohms"), pinOhms)}
		if !y.Driven.Set || !y.Ohms.Set {
			return // its diag is told
		}
		longest := x.Driven
		if gr := d.site.Ground.Rods; !longest.Set && gr != nil {
			longest = gr.Length
		}
		switch {
		case longest.Set && y.Driven.SI > longest.SI+geom.Eps:
			what := "the rod is long"
			if x.Driven.Set {
				what = "was driven in the end"
			}
			d.fault(diag.Contradiction, l.node("driven"), l.at("driven"), fmt.Sprintf("a reading with more in the ground (%s) than %s (%s)", clip(y.Driven.Text), what, clip(longest.Text)), "look at the tape again")
			return
		case slices.ContainsFunc(x.Log, func(o RodReading) bool { return math.Abs(float64(o.Driven.SI-y.Driven.SI)) < geom.Eps }):
			d.fault(diag.Twice, l.node("driven"), l.at("driven"), fmt.Sprintf("there are two readings with %s in the ground", clip(y.Driven.Text)), "keep the one that holds")
			return
		}
		x.Log = append(x.Log, y)
	})
	stable.Sort(x.Log, func(a, b RodReading) int {
		if a.Driven.SI < b.Driven.SI {
			return -1
		}
		return 1
	})
	for i := 1; i < len(x.Log); i++ {
		if a, b := x.Log[i-1], x.Log[i]; b.Ohms.SI > a.Ohms.SI {
			d.warn(diag.Contradiction, r.node("log"), r.at("log"), fmt.Sprintf("the rod read more with %s in the ground (%s) than with %s (%s)", clip(b.Driven.Text), clip(b.Ohms.Text), clip(a.Driven.Text), clip(a.Ohms.Text)), "read it again: more metal in the ground never reads more; look for a loose clip or a rod still joined to the ring")
			break
		}
	}
	if x.How != "" && len(x.Log) > 0 {
		d.warn(diag.Contradiction, r.key("log"), r.at("log"), "a rod that lies at a slant or flat has a log of depths", "the log is kept, and nothing is concluded from it")
	}
}
