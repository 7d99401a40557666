package prove

import (
	"fmt"
	"strings"

	"stubup/answer"
	"stubup/base/sheet"
	"stubup/base/unit"
	"stubup/rule"
	"stubup/trade/feeder"
)

// feederTable says what each feeder's load asks, beside what is written.
func feederTable(v rule.View) (sheet.Table, bool) {
	t := sheet.Table{
		ID: "prove.feeders", Title: "Feeders",
		Columns: []sheet.Column{{Head: "Feeder", Width: 0.13}, {Head: "What", Width: 0.24}, {Head: "Asked", Align: sheet.Right, Width: 0.14}, {Head: "Written", Align: sheet.Right, Width: 0.13}, {Head: "By", Width: 0.36}},
		Notes:   []string{"Sizes are the least that the code asks; the terminals, the insulation and the heat where it lies are as the row says. The utility side is live with the main off; a generator's auto-start is locked out first. Local code, the AHJ and a licensed person decide."},
	}
	for i := range v.Site.Feeders {
		f := &v.Site.Feeders[i]
		row := func(what string, a answer.Answer, written, by string) {
			c := sheet.Cell{Text: "cannot tell", Mark: sheet.CannotTell}
			if a.OK() {
				c = sheet.N(a.Value.SI, a.Value.Text)
				src := a.Value.By.Put
				if full := a.Value.By.Cite.Full(); full != "" {
					src = join(src, full)
				}
				by = join(by, src)
			} else {
				by = a.Missing
			}
			t.Rows = append(t.Rows, sheet.Row{sheet.T(f.ID), sheet.T(what), c, sheet.T(written), sheet.T(by)})
		}
		wire := func(w unit.Wire) string {
			if w == 0 {
				return ""
			}
			return w.String()
		}
		s := v.Answer.FeederSize(f)
		row("least conductors", s.Answer, wire(f.Size), "")
		if s.OK() {
			by := "the least standard rating that the load asks"
			if f.OCPD.Set {
				by = "as written; " + fmt.Sprintf("the conductors asked may have up to %s", unit.Trim(float64(s.Protects), 0)+" A")
			}
			t.Rows = append(t.Rows, sheet.Row{sheet.T(f.ID), sheet.T("overcurrent device"), sheet.N(float64(s.Device), unit.Trim(float64(s.Device), 0)+" A"), sheet.T(f.OCPD.Text), sheet.T(by)})
		}
		row("least EGC", v.Answer.EGC(f).Answer, wire(f.EGC), "")
		if f.GEC != 0 || v.Answer.Transfer().SeparatelyDerived == feeder.Yes {
			row("least GEC", v.Answer.GEC(f).Answer, wire(f.GEC), "")
			row("least system bonding jumper", v.Answer.SystemJumper(f).Answer, "", "in one place only")
		}
		row("voltage drop", v.Answer.Drop(f).Answer, f.DropLimit.Text, "")
		for _, w := range s.Say {
			t.Rows = append(t.Rows, sheet.Row{sheet.T(f.ID), sheet.T("said of it"), sheet.T(""), sheet.T(""), sheet.T(w)})
		}
	}
	return t, len(t.Rows) > 0
}

func join(parts ...string) string {
	var out []string
	for _, p := range parts {
		if p != "" {
			out = append(out, p)
		}
	}
	return strings.Join(out, "; ")
}
