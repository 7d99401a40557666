package order

import (
	"fmt"
	"slices"
	"strings"

	"stubup/base/sheet"
	"stubup/plan"
)

// pages returns the order on paper: one page for the supplier, and behind it
// which points each row serves, the molds and the cut lists.
func pages(res *Result, p *plan.Plan) []sheet.Page {
	one := sheet.Page{Title: "Order", Purpose: "What to buy, with the sum that each quantity comes from."}
	t, rest := shortTable(res)
	one.Blocks = append(one.Blocks, t)
	for _, g := range []string{Small, Raceway} {
		if len(rest[g]) > 0 {
			lead := g
			if g == Raceway {
				lead = "fittings and supports"
			}
			one.Blocks = append(one.Blocks, sheet.Para{Lead: lead + ":", Text: strings.Join(rest[g], "; ")})
		}
	}
	out := []sheet.Page{one}
	if len(res.Lines) == 0 {
		return out
	}
	more := sheet.Page{Title: "Behind the order", Purpose: "Which points each row serves, the molds, and how sticks are cut."}
	for _, t := range res.Tables[1:] {
		more.Blocks = append(more.Blocks, t)
	}
	return append(out, more)
}

// shortTable returns the rows that the supplier reads one by one, and the
// small ones, which stand in a line of text while they have no price.
func shortTable(res *Result) (sheet.Table, map[string][]string) {
	full := billTable(res)
	t := sheet.Table{ID: "order.page", Title: "", Empty: empty, Columns: slices.Clone(full.Columns), Notes: []string{res.Total.Words()}}
	t.Columns[1].Width -= 0.03
	t.Columns[2].Width += 0.03
	rest := map[string][]string{}
	wire := oneWire(res.Molds)
	short := map[string]string{}
	for _, m := range res.Molds {
		short["mold/"+m.Key] = m.short()
	}
	i := 0
	for _, row := range full.Rows {
		if row[1].Bold { // the head of a group
			continue
		}
		l := res.Lines[i]
		i++
		small := l.Group == Small || l.Group == Raceway && l.Unit == "each" && !strings.HasPrefix(l.Key, "bend/") ||
			l.Group == Bolted && !strings.HasPrefix(l.Key, "lug/") && l.Key != "jumper"
		if small && l.Price == nil {
			words := strings.TrimSuffix(l.Buy(), " put-up") + " x " + strings.TrimSuffix(l.Item, ", "+wire)
			if l.Unit != "each" {
				words = l.Buy() + " of " + l.Item
			}
			if l.Missing != "" {
				words = l.Item + ": cannot tell " + l.Missing
			}
			group := l.Group
			if group == Bolted {
				group = Small
			}
			rest[group] = append(rest[group], words)
			continue
		}
		r := append(sheet.Row(nil), row...)
		if wire != "" {
			// The one conductor is said once, under the table.
			switch l.Group {
			case Molds:
				r[1].Text = "mold: " + short[l.Key]
			case Bolted:
				r[1].Text = strings.TrimSuffix(l.Item, ", "+wire)
			}
		}
		switch {
		case strings.HasPrefix(l.Key, "bend/"):
			name, radius, _ := strings.Cut(strings.Replace(l.Item, " deg", "", 1), ", radius ")
			r[1].Text, r[2].Text = name, "radius "+radius+"; "+l.Sum
		case l.Unit == "stick":
			r[2].Text = strings.NewReplacer(" (usual, not said)", "", ", fewer cannot do", "").Replace(l.Sum)
		case l.Packs > 0:
			r[2].Text = strings.TrimSuffix(l.Sum, fmt.Sprintf(", up to packs of %d", l.PerPack))
		}
		t.Rows = append(t.Rows, r)
	}
	if wire != "" {
		t.Notes[0] += "; molds and lugs are for " + wire
	}
	return t, rest
}

// oneWire returns the conductor that every mold is for, or nothing where they
// differ.
func oneWire(ms []Mold) string {
	wire := ""
	for i, m := range ms {
		parts := strings.Split(m.Key, " | ")
		if i > 0 && parts[1] != wire {
			return ""
		}
		wire = parts[1]
	}
	return wire
}

// short returns what a mold makes, without its conductor.
func (m Mold) short() string {
	parts := strings.Split(m.Key, " | ")
	size, shape, position := parts[3], parts[4], parts[5]
	if m.Unknown != "" {
		size = "not measured"
	}
	switch m.Kind {
	case plan.ToRod:
		return "rod " + size + ", " + shape
	case plan.ToPipe:
		return "pipe " + size
	case plan.ToFlat:
		return "flat, " + position
	case plan.Splice:
		return "inline splice"
	}
	if same(size, parts[1]) {
		return m.Kind.Words()
	}
	return m.Kind.Words() + " to " + size
}
