package prove

import (
	"fmt"
	"strings"

	"stubup/answer"
	"stubup/base/sheet"
	"stubup/base/unit"
	"stubup/rule"
	"stubup/trade/pull"
)

// pullTable says what pulling the cable of every section takes.
func pullTable(v rule.View) (sheet.Table, bool) {
	t := sheet.Table{
		ID: "prove.pulls", Title: "Pulling the cable, section by section",
		Columns: []sheet.Column{{Head: "Run", Width: 0.12}, {Head: "Section", Width: 0.15}, {Head: "Feed at, pull from", Width: 0.19}, {Head: "Tension", Align: sheet.Right, Width: 0.14}, {Head: "Limit", Align: sheet.Right, Width: 0.14}, {Head: "Said of it", Width: 0.26}},
		Notes:   []string{"Tension at the least and the most friction, pulled the better way. The pull card of each section, among the day's sheets, has both ways and every bend. The makers' figures for cable, grip, line and lubricant replace those here."},
	}
	for i := range v.Plan.Runs {
		r := &v.Plan.Runs[i]
		for k, s := range r.Sections {
			p := v.Answer.PullCard(r, k)
			if p.Card == nil || p.Card.Best < 0 {
				t.Rows = append(t.Rows, sheet.Row{sheet.T(r.ID), sheet.T(s.Name()), sheet.T(""), {Text: "cannot tell", Mark: sheet.CannotTell}, sheet.T(""), sheet.T(p.Missing)})
				continue
			}
			c := p.Card
			d := c.Directions[c.Best]
			said := append([]string(nil), d.Over...)
			said = append(said, c.Over...)
			if len(c.Missing) > 0 {
				said = append(said, "not told: "+strings.Join(c.Missing, ", "))
			}
			if o := c.Directions[1-c.Best]; o.Outcome != d.Outcome || o.Greatest.High > 1.05*d.Greatest.High {
				said = append(said, fmt.Sprintf("the other way %s", v.Site.Units.Force(o.Greatest.High)))
			}
			if len(said) == 0 {
				said = []string{fmt.Sprintf("%s %% of the tightest limit", unit.Trim(100*d.Use, 0))}
			}
			t.Rows = append(t.Rows, sheet.Row{
				sheet.T(r.ID), sheet.T(s.Name()), sheet.T(d.Feed + ", " + d.Pull),
				{Text: answer.ForceRange(v.Site.Units, d.Greatest), Num: float64(d.Greatest.High), IsNum: true, Mark: outcomeMark(c.Outcome)},
				sheet.N(float64(c.Tension.Force), v.Site.Units.Force(c.Tension.Force)+" by the "+c.Tension.Name), sheet.T(strings.Join(unique(said), "; ")),
			})
		}
	}
	return t, len(t.Rows) > 0
}

func unique(ws []string) []string {
	var out []string
	seen := map[string]bool{}
	for _, w := range ws {
		if !seen[w] {
			seen[w] = true
			out = append(out, w)
		}
	}
	return out
}

func outcomeMark(o pull.Outcome) sheet.Mark {
	switch o {
	case pull.OK:
		return sheet.Holds
	case pull.Over:
		return sheet.Broken
	}
	return sheet.CannotTell
}
