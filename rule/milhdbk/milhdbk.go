// Package milhdbk holds what MIL-HDBK-419A asks of buried bonds and of the
// resistance of an earth electrode.
package milhdbk

import (
	_ "embed" // the figures beside this file
	"fmt"
	"sync"

	"stubup/base/geom"
	"stubup/rule"
)

//go:embed figures.csv
var figuresCSV string

var figures = rule.FiguresOf(figuresCSV)

// Figures returns the figures that the rules lean on.
func Figures() rule.Figures { return figures }

// Rules lists the rules.
var Rules = sync.OnceValue(func() []*rule.Rule {
	return []*rule.Rule{
		{ID: "mil-hdbk-419a.concealed", Work: rule.MilHdbk419A, Title: "a concealed bond is brazed or welded, and seen before backfill", Force: rule.Shall, Cite: figures.Cite("concealed"), Figure: "concealed", Example: "a clamp below grade", Look: concealed},
		{ID: "mil-hdbk-419a.target", Work: rule.MilHdbk419A, Title: "the earth electrode is designed for 10 ohm", Force: rule.Should, Cite: figures.Cite("target"), Figure: "target", Example: "a ring of 14 ohm", Look: target},
	}
})

func concealed(v rule.View) []rule.Finding {
	if f, ok := v.NoRing(); !ok {
		return []rule.Finding{f}
	}
	var out []rule.Finding
	n := 0
	req := "brazed or welded, every joint seen before backfill"
	for _, j := range v.Plan.Joints {
		if j.Z >= 0 {
			continue
		}
		n++
		if !j.Kind.Welded() {
			f := rule.Finding{Path: "joint " + j.ID, Points: []string{j.ID}, At: []geom.Point{j.At}, Mend: "weld it, or bring it up where it can be seen"}
			out = append(out, rule.YesNo(f, false, req, j.Kind.Words()+" below grade"))
		}
	}
	if len(out) > 0 {
		return out
	}
	f := v.RingFinding()
	if n == 0 {
		f.Mend = "mend what keeps the joints from being drawn; a diag says what it is"
		return []rule.Finding{rule.Lacks(f, "how the buried conductor is joined")}
	}
	f.Note = "each is looked at and photographed before backfill"
	return []rule.Finding{rule.YesNo(f, true, req, fmt.Sprintf("all %d buried joints are welded", n))}
}

func target(v rule.View) []rule.Finding {
	if f, ok := v.NoRing(); !ok {
		return []rule.Finding{f}
	}
	f := v.RingFinding()
	a := v.Answer.Design()
	if !a.OK() {
		f.Required = "at most " + figures.Text("target")
		return []rule.Finding{rule.Lacks(f, a.Missing)}
	}
	f.Value = a.Value
	f.Mend = "longer rods, more rods, or radials: the layout compares them"
	return []rule.Finding{rule.AtMost(f, a.Value.SI, figures.Num("target"), rule.Ohms)}
}
