package prove

import (
	"fmt"
	"strings"

	"stubup/base/sheet"
	"stubup/base/unit"
	"stubup/rule"
)

// proposalTable sets the ways to bring a run within its limits side by side.
func proposalTable(v rule.View) (sheet.Table, bool) {
	t := sheet.Table{
		ID: "prove.proposals", Title: "Runs over their limits: ways to bring them within",
		Columns: []sheet.Column{{Head: "Run", Width: 0.12}, {Head: "Way", Width: 0.38}, {Head: "Bends by section", Align: sheet.Right, Width: 0.14}, {Head: "Whole run", Align: sheet.Right, Width: 0.11}, {Head: "Tension", Align: sheet.Right, Width: 0.11}, {Head: "First", Width: 0.14}},
		Notes: []string{
			"The fewest pull points, or the cheapest where handholes, boxes and sweeps are priced. Sections are held to the strictest limit that is adopted, to the cable's radius and, where its weight is known, to its tension in the better direction.",
			"Other ways keep 2 ft from what is drawn; what is not drawn, what is buried and whose land it is they cannot know.",
		},
	}
	for i := range v.Plan.Runs {
		r := &v.Plan.Runs[i]
		for _, p := range v.Answer.Proposals(r) {
			if p.Blocked != "" {
				t.Rows = append(t.Rows, sheet.Row{sheet.T(r.ID), sheet.T(p.Words), {Text: "none", Mark: sheet.Broken}, sheet.T(""), sheet.T(""), sheet.T(p.Blocked)})
				continue
			}
			tension := sheet.T("")
			if p.Tension > 0 {
				tension = sheet.N(float64(p.Tension), v.Site.Units.Force(p.Tension))
			}
			t.Rows = append(t.Rows, sheet.Row{
				sheet.T(r.ID), sheet.T(p.Words), sheet.T(degreesWords(p.Degrees)), sheet.N(float64(p.Length), v.Site.Units.Run(p.Length)), tension, sheet.T(p.Needs),
			})
		}
	}
	return t, len(t.Rows) > 0
}

// degreesWords prints bend sums as they stand against a limit: "135 | 90 deg".
func degreesWords(ds []unit.Degree) string {
	var out []string
	for _, d := range ds {
		out = append(out, unit.Trim(float64(d), 1))
	}
	return fmt.Sprintf("%s deg", strings.Join(out, " | "))
}
