package prove

import (
	"fmt"
	"strings"

	"stubup/answer"
	"stubup/base/sheet"
	"stubup/base/trace"
	"stubup/base/unit"
	"stubup/rule"
	"stubup/trade/soil"
)

// bandVerdict is the short lines on how sure the resistance is and what a
// season does to it. Without readings there is no band to print.
func bandVerdict(v rule.View) []string {
	if v.Plan.Ring == nil {
		return nil
	}
	var out []string
	band, design := v.Answer.Band(), v.Answer.Design()
	limit, _, has := Limit(v)
	if !band.OK() {
		out = append(out, "band: cannot tell: "+band.Missing)
	} else {
		line := fmt.Sprintf("%s by the readings", unit.Ohms(band.Middle))
		if design.OK() {
			line = design.Value.Text + " at the soil model"
		}
		line += "; 90 % band " + answer.Span(band.NinetyPct)
		if has {
			line += fmt.Sprintf("; %s likely to meet %s", answer.Likely(band.Below(limit)), unit.Trim(float64(limit), 2))
		}
		out = append(out, line)
	}
	least, most, ok := answer.Extremes(v.Answer.Seasons())
	if !ok || least.Name == most.Name {
		return out
	}
	line := fmt.Sprintf("over a year %s (%s) to %s (%s)", least.R.Value.Text, least.Name, most.R.Value.Text, most.Name)
	if least.R.Value.Standing == trace.Assumed || most.R.Value.Standing == trace.Assumed {
		line += ", by assumed figures of the season"
		if has && design.OK() && design.Value.SI <= float64(limit) {
			if most.R.Value.SI > float64(limit) {
				line += ": " + most.Name + " it would be over the limit"
			} else {
				line += ": by these the limit holds all year, a real season may be worse"
			}
		}
	}
	if s := v.Answer.SeasonBand(); s.OK() {
		line += "; then 90 % band " + answer.Span(s.NinetyPct)
		if has {
			line += fmt.Sprintf(" and %s likely to meet %s", answer.Likely(s.Below(limit)), unit.Trim(float64(limit), 2))
		}
	}
	return append(out, line)
}

// bandTables are the band as the readings came in, what to read next, and the
// year.
func bandTables(v rule.View) []sheet.Table {
	if v.Plan.Ring == nil {
		return nil
	}
	var out []sheet.Table
	for _, f := range []func(rule.View) (sheet.Table, bool){bandTable, nextTable, seasonTable} {
		if t, ok := f(v); ok {
			out = append(out, t)
		}
	}
	return out
}

func bandTable(v rule.View) (sheet.Table, bool) {
	all := v.Answer.Bands()
	t := sheet.Table{
		ID: "prove.band", Title: "Band", Empty: "Cannot tell: " + all[0].Missing + ".",
		Columns: []sheet.Column{{Head: "After", Width: 0.30}, {Head: "Middle", Align: sheet.Right, Width: 0.14}, {Head: "50 %", Align: sheet.Right, Width: 0.14}, {Head: "80 %", Align: sheet.Right, Width: 0.14}, {Head: "90 %", Align: sheet.Right, Width: 0.14}, {Head: "Meets the limit", Align: sheet.Right, Width: 0.14}},
	}
	limit, _, has := Limit(v)
	span := func(x soil.Interval) sheet.Cell { return sheet.T(answer.Span(x)) }
	var said []string
	for _, b := range all {
		if !b.OK() {
			continue
		}
		words := capital(b.From)
		if b.Rod != "" {
			words = "After rod " + b.Rod + ": " + b.From
		}
		p := sheet.T("no limit")
		if has {
			p = sheet.N(b.Below(limit), answer.Likely(b.Below(limit)))
		}
		t.Rows = append(t.Rows, sheet.Row{sheet.T(words), sheet.N(float64(b.Middle), unit.Ohms(b.Middle)), span(b.Fifty), span(b.Eighty), span(b.NinetyPct), p})
		said = b.Said
	}
	for _, s := range said {
		t.Notes = append(t.Notes, capital(s)+".")
	}
	if len(t.Rows) > 0 {
		t.Notes = append(t.Notes, "Ring and rods alone, in ohms; so many in a hundred sites with these readings lie within. What is assumed: two layers, readings scattered by 5 %, a line as a whole by 8 or by 15 %, a rod as a whole by 10 %, the finished ground by 5 % about its model. It is a prediction, not an acceptance.")
	} else {
		t.Notes = append(t.Notes, "A four-pin survey under soil, or what a rod alone reads on its way down under state, makes a band.")
	}
	return t, len(t.Rows) > 0 || all[0].Missing == answer.NoSurvey
}

func nextTable(v rule.View) (sheet.Table, bool) {
	now := v.Answer.Band()
	t := sheet.Table{
		ID: "prove.next-reading", Title: "What to read next",
		Columns: []sheet.Column{{Head: "Reading", Width: 0.46}, {Head: "Lead", Align: sheet.Right, Width: 0.14}, {Head: "90 % band then", Align: sheet.Right, Width: 0.20}, {Head: "Width", Align: sheet.Right, Width: 0.20}},
	}
	for _, n := range v.Answer.NextReadings() {
		lead := sheet.T("none")
		if n.Lead > 0 {
			lead = sheet.N(float64(n.Lead), v.Site.Units.Run(n.Lead))
		}
		t.Rows = append(t.Rows, sheet.Row{sheet.T(capital(n.Words)), lead, sheet.T(answer.Span(n.Then)), sheet.N(n.Share, unit.Fixed(100*n.Share, 0)+" % of today's")})
	}
	if len(t.Rows) > 0 {
		best := v.Answer.NextReadings()[0]
		t.Notes = append(t.Notes,
			fmt.Sprintf("%s: 90 %% band from %s to %s ohm expected.", capital(best.Words), strings.ReplaceAll(answer.Span(now.NinetyPct), " to ", ".."), strings.ReplaceAll(answer.Span(best.Then), " to ", "..")),
			"Expected over all that may be read; the middle may move besides. Lead is from the first pin to the last. Locate what is buried before a pin or a rod goes in.")
	}
	return t, len(t.Rows) > 0
}

func seasonTable(v rule.View) (sheet.Table, bool) {
	t := sheet.Table{
		ID: "prove.season", Title: "The year", Columns: []sheet.Column{{Head: "Season", Width: 0.18}, {Head: "Ring and rods", Align: sheet.Right, Width: 0.15}, {Head: "Ring alone", Align: sheet.Right, Width: 0.15}, {Head: "How", Width: 0.52}},
	}
	all := v.Answer.Seasons()
	if !all[0].R.OK() {
		return t, false
	}
	for _, s := range all {
		r := sheet.Cell{Text: "cannot tell", Mark: sheet.CannotTell}
		how := s.How
		if s.R.OK() {
			r = sheet.N(s.R.Value.SI, s.R.Value.Text)
		} else {
			how = s.R.Missing
		}
		ring := sheet.T("")
		if s.Ring.OK() {
			ring = sheet.N(s.Ring.Value.SI, s.Ring.Value.Text)
			how += "; the ring lies in it, the rods reach below"
		}
		t.Rows = append(t.Rows, sheet.Row{sheet.T(s.Name), r, ring, sheet.T(how)})
	}
	if b := v.Answer.SeasonBand(); b.OK() {
		t.Notes = append(t.Notes, "In the worst season the 90 % band is "+answer.Span(b.NinetyPct)+" ohm by the readings.")
	}
	t.Notes = append(t.Notes, "Each season is a layer of its own on the soil as given. A reading taken in a changed season is neither a pass nor a failure of the design: test again when it is over.")
	return t, true
}
