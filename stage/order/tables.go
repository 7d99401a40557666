package order

import (
	"fmt"
	"strings"

	"stubup/base/cite"
	"stubup/base/sheet"
	"stubup/base/unit"
	"stubup/plan"
)

// tables returns the bill to hand to the supplier, what each row serves, the
// molds and the cut lists.
func tables(res *Result, p *plan.Plan) []sheet.Table {
	out := []sheet.Table{billTable(res), servesTable(res)}
	if len(res.Molds) > 0 {
		out = append(out, moldTable(res))
	}
	if len(res.Cuts) > 0 {
		out = append(out, cutTable(res, p.Site.Units))
	}
	return out
}

const empty = "Nothing to buy: the layout has no ring, rod, whip or run yet."

func (l Line) sumWords() string {
	if l.Missing == "" {
		return l.Sum
	}
	s := l.Missing
	if l.Sum != "" {
		s += " (" + l.Sum + ")"
	}
	return s
}

func billTable(res *Result) sheet.Table {
	t := sheet.Table{ID: "order.bill", Title: "What to buy", Empty: empty, Columns: []sheet.Column{
		{Head: "buy", Width: 0.14}, {Head: "item", Width: 0.28}, {Head: "from", Width: 0.47}, {Head: "price", Align: sheet.Right, Width: 0.11},
	}}
	priced := res.Total.Priced > 0
	if priced {
		t.Columns[2].Width = 0.38
		t.Columns = append(t.Columns, sheet.Column{Head: "amount", Align: sheet.Right, Width: 0.09})
	}
	row := func(cells ...sheet.Cell) { t.Rows = append(t.Rows, sheet.Row(cells)[:len(t.Columns)]) }
	group := ""
	for _, l := range res.Lines {
		if l.Group != group {
			group = l.Group
			row(sheet.T(""), sheet.Cell{Text: group, Bold: true}, sheet.T(""), sheet.T(""), sheet.T(""))
		}
		amount, price := sheet.T(""), sheet.T(l.PriceWords())
		if l.Price != nil {
			amount = sheet.N(l.Amount, money(l.Amount))
		}
		buy := sheet.Cell{Text: l.Buy(), Bold: true}
		if l.Missing != "" {
			// The sign says "cannot tell"; the sum says why.
			buy, price = sheet.Cell{Mark: sheet.CannotTell, Text: l.Buy()}, sheet.T("")
		}
		row(buy, sheet.T(l.Item), sheet.T(l.sumWords()), price, amount)
	}
	if len(res.Lines) > 0 {
		t.Notes = append(t.Notes, res.Total.Words())
		t.Notes = append(t.Notes, "quantities from the layout; packs, put-ups, stock lengths and prices are the supplier's own, as written in the document")
	}
	return t
}

func servesTable(res *Result) sheet.Table {
	t := sheet.Table{ID: "order.serves", Title: "Which points each row serves", Empty: empty, Columns: []sheet.Column{
		{Head: "item", Width: 0.40}, {Head: "points", Align: sheet.Right, Width: 0.10}, {Head: "which", Width: 0.50},
	}}
	for _, l := range res.Lines {
		if len(l.For) > 0 {
			t.Rows = append(t.Rows, sheet.Row{sheet.T(l.Item), sheet.N(float64(len(l.For)), fmt.Sprint(len(l.For))), sheet.T(IDs(l.For))})
		}
	}
	return t
}

func moldTable(res *Result) sheet.Table {
	t := sheet.Table{ID: "order.molds", Title: "Molds", Columns: []sheet.Column{
		{Head: "mold", Width: 0.10}, {Head: "makes", Width: 0.38}, {Head: "charge by its tag", Width: 0.15}, {Head: "joints", Align: sheet.Right, Width: 0.08}, {Head: "life", Width: 0.29},
	}}
	for _, m := range res.Molds {
		charge := m.Charge.Text
		if m.NoCharge != "" {
			charge = "cannot tell: " + m.NoCharge
		}
		makes := sheet.T(m.Words)
		if m.Unknown != "" {
			makes = sheet.Cell{Text: m.Words + "; " + m.Unknown, Mark: sheet.CannotTell}
		}
		t.Rows = append(t.Rows, sheet.Row{{Text: m.Name(), Bold: true}, makes, sheet.T(charge), sheet.N(float64(len(m.Joints)), fmt.Sprint(len(m.Joints))), sheet.T(m.Sentence())})
	}
	t.Notes = []string{"the tag on the mold decides the charge; makers' molds and charges are not mixed", "a mold's look ends its life, not its count"}
	return t
}

// Name returns the numbers of a mold in words: "mold 1", "molds 1 and 2".
func (m Mold) Name() string {
	switch len(m.Numbers) {
	case 0:
		return "mold"
	case 1:
		return fmt.Sprintf("mold %d", m.Numbers[0])
	}
	var parts []string
	for _, n := range m.Numbers[:len(m.Numbers)-1] {
		parts = append(parts, fmt.Sprint(n))
	}
	return fmt.Sprintf("molds %s and %d", strings.Join(parts, ", "), m.Numbers[len(m.Numbers)-1])
}

func cutTable(res *Result, sys unit.System) sheet.Table {
	t := sheet.Table{ID: "order.cuts", Title: "Cut list", Empty: "Nothing to cut: no run has a stick yet.", Columns: []sheet.Column{
		{Head: "from stock no.", Width: 0.12}, {Head: "raceway", Width: 0.16}, {Head: "cut", Width: 0.56}, {Head: "left", Align: sheet.Right, Width: 0.16},
	}}
	if len(res.Cuts) > 0 {
		t.Notes = append(t.Notes, "do not cut before the factory bends are here: their straight ends are not taken off in this list",
			"stock numbers count what is bought; the bend sheet numbers the lengths as they are set along the run")
	}
	for _, c := range res.Cuts {
		kt := fmt.Sprintf("%s %s", c.Kind, c.Trade)
		// Whole sticks of one length come first and are told in one row.
		for i := 0; i < len(c.Sticks.Sticks); {
			s := c.Sticks.Sticks[i]
			if len(s.Cuts) == 1 && s.Cuts[0].Length >= c.Sticks.Stick-1e-7 {
				j := i
				for j < len(c.Sticks.Sticks) && len(c.Sticks.Sticks[j].Cuts) == 1 && c.Sticks.Sticks[j].Cuts[0].Length >= c.Sticks.Stick-1e-7 {
					j++
				}
				no := fmt.Sprintf("%d to %d", i+1, j)
				if j == i+1 {
					no = fmt.Sprint(i + 1)
				}
				t.Rows = append(t.Rows, sheet.Row{sheet.T(no), sheet.T(kt), sheet.T("whole, " + sys.Length(c.Sticks.Stick) + ": " + strings.Join(cutNames(c, i, j), ", ")), sheet.T(sys.Length(0))})
				i = j
				continue
			}
			var parts []string
			for _, q := range s.Cuts {
				parts = append(parts, fmt.Sprintf("%s (%s)", sys.Length(q.Length), q.Name))
			}
			t.Rows = append(t.Rows, sheet.Row{sheet.N(float64(i+1), fmt.Sprint(i+1)), sheet.T(kt), sheet.T(strings.Join(parts, ", ")), sheet.T(sys.Length(s.Left))})
			i++
		}
		bound := fmt.Sprintf("%s: %d sticks of %s, at least %d by any cut list, %s left over", kt, c.Sticks.Count, sys.Length(c.Sticks.Stick), c.Sticks.Bound, sys.Length(c.Sticks.Waste))
		t.Notes = append(t.Notes, bound)
		t.Notes = append(t.Notes, c.Problem...)
	}
	t.Notes = append(t.Notes, fmt.Sprintf("every cut takes %s; couplings stay %s clear of a field bend (%s)", sys.Short(practiceLength("kerf")), sys.Short(practiceLength("coupling.clear")), cite.Practice))
	return t
}

func cutNames(c Cut, i, j int) []string {
	var out []string
	n := map[string]int{}
	for _, s := range c.Sticks.Sticks[i:j] {
		name, _, _ := strings.Cut(s.Cuts[0].Name, ", piece")
		if n[name] == 0 {
			out = append(out, name)
		}
		n[name]++
	}
	for k, name := range out {
		if n[name] > 1 {
			out[k] = fmt.Sprintf("%s (%d)", name, n[name])
		}
	}
	return out
}

// listTable returns the bill as a flat list: one column for each fact, for a
// spreadsheet or another program.
func listTable(res *Result) sheet.Table {
	t := sheet.Table{ID: "order.list", Title: "Order", Empty: empty}
	for _, h := range []string{"key", "group", "item", "count", "spare", "asked", "quantity", "unit", "packs", "per pack", "from", "price", "per", "amount", "cannot tell", "points"} {
		c := sheet.Column{Head: h}
		switch h {
		case "count", "spare", "asked", "quantity", "packs", "per pack", "price", "amount":
			c.Align = sheet.Right
		}
		t.Columns = append(t.Columns, c)
	}
	num := func(v float64) sheet.Cell { return sheet.N(v, unit.Trim(v, 2)) }
	for _, l := range res.Lines {
		row := sheet.Row{sheet.T(l.Key), sheet.T(l.Group), sheet.T(l.Item), num(l.Count), num(l.Spare)}
		if l.Missing != "" {
			row = append(row, sheet.T(""), sheet.T(""))
		} else {
			row = append(row, num(l.Asked), num(l.Quantity))
		}
		row = append(row, sheet.T(l.Unit))
		if l.Packs > 0 {
			row = append(row, num(float64(l.Packs)), num(float64(l.PerPack)))
		} else {
			row = append(row, sheet.T(""), sheet.T(""))
		}
		row = append(row, sheet.T(l.Sum))
		if l.Price != nil {
			row = append(row, sheet.N(l.Price.Amount, money(l.Price.Amount)), sheet.T(l.Price.Per), sheet.N(l.Amount, money(l.Amount)))
		} else {
			row = append(row, sheet.T(l.PriceWords()), sheet.T(""), sheet.T(""))
		}
		t.Rows = append(t.Rows, append(row, sheet.T(l.Missing), sheet.T(strings.Join(l.For, " "))))
	}
	return t
}

// summary returns the order in a few lines, number first.
func summary(res *Result, p *plan.Plan) []string {
	if len(res.Lines) == 0 {
		return []string{empty}
	}
	var out []string
	for _, l := range res.Lines {
		switch l.Group {
		case Conductor, Rods, Charges:
			out = append(out, fmt.Sprintf("%s  %s: %s", l.Buy(), l.Item, l.sumWords()))
		}
	}
	if n := len(res.Molds); n > 0 {
		unknown, second := 0, 0
		for _, m := range res.Molds {
			if m.Unknown != "" {
				unknown++
			}
			if m.Second {
				second++
			}
		}
		s := fmt.Sprintf("%s of mold for %s", count(n, "kind"), count(len(p.Welded()), "welded joint"))
		if second > 0 {
			s += fmt.Sprintf("; a second one before the start: %d", second)
		}
		if unknown > 0 {
			s += fmt.Sprintf("; %d cannot be told: measure before ordering", unknown)
		}
		out = append(out, s)
	}
	for _, l := range res.Lines {
		if l.Unit == "stick" {
			out = append(out, fmt.Sprintf("%s  %s: %s", l.Buy(), l.Item, l.sumWords()))
		}
	}
	var gaps []string
	for _, l := range res.Lines {
		if l.Missing != "" {
			gaps = append(gaps, l.Item+": "+l.Missing)
		}
	}
	if len(gaps) > 0 {
		out = append(out, "find out first: "+strings.Join(gaps, "; "))
	}
	return append(out, res.Total.Words())
}
