// Package order turns a plan into what is bought: conductor by put-up, rods,
// charges by size with their spares and packs, molds by what they make, the
// small things that stop a crew, and raceway by stick with its cut list.
//
// Every quantity is worked out from the plan and carries the sum it comes
// from. What the document does not say is "cannot tell", with the thing to
// find out; it is never filled in. A row without a price says so and is never
// priced at nothing.
package order

import (
	"context"
	"fmt"
	"strings"

	"stubup/answer"
	"stubup/base/sheet"
	"stubup/base/unit"
	"stubup/plan"
	"stubup/rule"
	"stubup/site"
)

// The groups of the bill, in the order in which a crew needs them.
const (
	Conductor = "conductor"
	Rods      = "rods"
	Charges   = "charges"
	Molds     = "molds"
	Bolted    = "lugs, clamps and gate jumpers"
	Small     = "small things that stop a crew"
	Raceway   = "raceway"
	PullPoint = "handholes, boxes and bodies"
	Cable     = "cable and wire in the runs"
)

// Line is one row of the bill.
type Line struct {
	Key      string // "charge/45 g": stable between revisions
	Group    string
	Item     string
	Count    float64 // what the plan uses
	Spare    float64
	Asked    float64 // Count and Spare, rounded up as the trade does
	Quantity float64 // as bought: packs and put-ups filled; zero where Missing
	Unit     string  // "each", "ft", "m", "stick"
	Sum      string  // the sentence that the quantity comes from
	Packs    int     // zero where it does not come by the pack, or its size is not said
	PerPack  int
	Price    *site.Price // nil: no price
	Amount   float64     // of a priced row
	Unpriced string      // why a quoted price could not be used
	For      []string    // ids of the points it serves
	Missing  string      // what has to be found out first; empty where it can be told

	names []string     // what the price and pack lists may call it, most exact first
	stick unit.Metre   // length of one stick
	puts  []unit.Metre // put-ups of conductor
}

// Total is the sum of the priced rows and what stands outside of it.
type Total struct {
	Amount     float64
	Priced     int
	NoPrice    int
	CannotTell int
}

// Words returns the total as one sentence.
func (t Total) Words() string {
	var parts []string
	if t.Priced == 0 {
		parts = append(parts, "no sum: no row has a price")
	} else {
		parts = append(parts, fmt.Sprintf("%s for %s", money(t.Amount), count(t.Priced, "row")))
		if t.NoPrice > 0 {
			parts = append(parts, fmt.Sprintf("%s %s no price", count(t.NoPrice, "row"), have(t.NoPrice)))
		} else {
			parts = append(parts, "every row that can be told has a price")
		}
	}
	if t.CannotTell > 0 {
		parts = append(parts, fmt.Sprintf("%s cannot be told yet", count(t.CannotTell, "row")))
	}
	return strings.Join(parts, "; ")
}

// Result is the whole order.
type Result struct {
	Lines  []Line
	Molds  []Mold
	Cuts   []Cut
	Total  Total
	Tables []sheet.Table // the bill first, then what stands behind it
	List   sheet.Table   // the bill as a flat list, for a spreadsheet
	Pages  []sheet.Page  // for paper: one page to the supplier, then what stands behind it
	Text   []string      // the summary, one line each
}

// Line returns the row with a key, or nil.
func (r Result) Line(key string) *Line {
	for i := range r.Lines {
		if r.Lines[i].Key == key {
			return &r.Lines[i]
		}
	}
	return nil
}

// Group returns the rows of one group.
func (r Result) Group(group string) []Line {
	var out []Line
	for _, l := range r.Lines {
		if l.Group == group {
			out = append(out, l)
		}
	}
	return out
}

// bill gathers the rows.
type bill struct {
	site    *site.Site
	plan    *plan.Plan
	answer  *answer.Book
	lines   []Line
	undrawn []string
}

func (b *bill) add(l Line) { b.lines = append(b.lines, l) }

// Make returns the order of a plan.
func Make(v rule.View) Result {
	b := &bill{site: v.Site, plan: v.Plan, answer: v.Answer}
	if b.answer == nil {
		b.answer = answer.New(context.Background(), v.Plan)
	}
	b.conductor()
	b.rods()
	b.charges()
	molds := MoldsOf(v.Site, v.Plan)
	b.molds(molds)
	b.bolted()
	b.small(molds)
	cuts := b.raceway()
	b.pullPoints()
	b.cable()
	res := Result{Molds: molds, Cuts: cuts}
	for i := range b.lines {
		l := &b.lines[i]
		b.pack(l)
		b.price(l)
		switch {
		case l.Missing != "":
			res.Total.CannotTell++
		case l.Price == nil:
			res.Total.NoPrice++
		default:
			res.Total.Priced++
			res.Total.Amount += l.Amount
		}
	}
	res.Lines = b.lines
	res.Tables = tables(&res, v.Plan)
	res.List = listTable(&res)
	res.Pages = pages(&res, v.Plan)
	res.Text = summary(&res, v.Plan)
	return res
}

// pack fills the packs of a counted row from the supplier's pack sizes.
func (b *bill) pack(l *Line) {
	if l.Missing != "" || l.Unit != "each" || l.PerPack != 0 {
		return
	}
	per, ok := b.packOf(l.names)
	if !ok {
		if l.Group == Charges {
			l.Sum += "; packs: ask the supplier how many to a pack"
		}
		return
	}
	l.fill(per)
	l.Sum += fmt.Sprintf(", up to packs of %d", per)
}

func (b *bill) packOf(names []string) (int, bool) {
	for _, n := range names {
		for _, p := range b.site.Supplies.Packs {
			if p.Of > 0 && same(p.Item, n) {
				return p.Of, true
			}
		}
	}
	return 0, false
}

// price finds what the supplier quoted for a row. A price that does not fit
// the way the row is counted is not used, and the row says so.
func (b *bill) price(l *Line) {
	if l.Missing != "" {
		return
	}
	for _, n := range l.names {
		for i := range b.site.Prices {
			p := &b.site.Prices[i]
			if !same(p.Item, n) {
				continue
			}
			q, why := l.priced(p.Per)
			if why != "" {
				l.Unpriced = why
				return
			}
			l.Price, l.Amount = p, q*p.Amount
			return
		}
	}
}

// priced returns how many times a price by the given measure counts.
func (l *Line) priced(per string) (float64, string) {
	per = strings.ToLower(strings.TrimSpace(per))
	switch {
	case per == "pack" && l.Packs > 0:
		return float64(l.Packs), ""
	case per == "pack":
		return 0, "the price is by the pack and the pack size is not said"
	case per == "ft" || per == "m":
		m := map[string]unit.Metre{"ft": unit.Foot, "m": 1}
		if u, ok := m[l.Unit]; ok {
			return l.Quantity * float64(u/m[per]), ""
		}
		if l.stick > 0 {
			return l.Quantity * float64(l.stick/m[per]), ""
		}
		return 0, "the price is by the " + per + " and the row is counted by the piece"
	case l.Unit == "ft" || l.Unit == "m":
		if len(l.puts) == 1 && (per == "each" || per == "") {
			return 1, ""
		}
		return 0, "the price is each and the row is a length: give it by the " + l.Unit
	}
	return l.Quantity, ""
}

// PriceWords returns the price as printed: never 0 for an unknown one.
func (l Line) PriceWords() string {
	switch {
	case l.Missing != "":
		return "cannot tell"
	case l.Price == nil && l.Unpriced != "":
		return "no price: " + l.Unpriced
	case l.Price == nil:
		return "no price"
	case l.Price.Per == "" || l.Price.Per == "each":
		return money(l.Price.Amount) + " each"
	}
	return money(l.Price.Amount) + " per " + l.Price.Per
}

// AmountWords returns the amount of a priced row, and nothing of another.
func (l Line) AmountWords() string {
	if l.Price == nil {
		return ""
	}
	return money(l.Amount)
}

// Buy returns what to ask the supplier for, in words.
func (l Line) Buy() string {
	switch {
	case l.Missing != "":
		return "cannot tell"
	case l.Packs > 0:
		return fmt.Sprintf("%s of %d", count(l.Packs, "pack"), l.PerPack)
	case len(l.puts) > 0:
		return putUpWords(l.puts, l.Unit) + " put-up"
	case l.Unit == "each":
		return unit.Trim(l.Quantity, 0)
	case l.Unit == "stick":
		return count(int(l.Quantity), "stick")
	case l.Unit == "ft" || l.Unit == "m":
		return unit.Trim(l.Quantity, 1) + " " + l.Unit
	}
	return count(int(l.Quantity), l.Unit)
}

// fill rounds a counted row up to whole packs.
func (l *Line) fill(per int) {
	l.PerPack = per
	l.Packs = packsOf(int(l.Asked), per)
	l.Quantity = float64(l.Packs * per)
}

func money(v float64) string {
	s := unit.Fixed(v, 2)
	whole, cents, _ := strings.Cut(s, ".")
	neg := strings.HasPrefix(whole, "-")
	whole = strings.TrimPrefix(whole, "-")
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + "," + whole[i:]
	}
	if neg {
		whole = "-" + whole
	}
	return whole + "." + cents
}

// count prints "1 row", "4 rows".
func count(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	switch {
	case strings.HasSuffix(word, "box"):
		return fmt.Sprintf("%d %ses", n, word)
	case strings.HasSuffix(word, "body"):
		return fmt.Sprintf("%d %sies", n, strings.TrimSuffix(word, "y"))
	}
	return fmt.Sprintf("%d %ss", n, word)
}

func have(n int) string {
	if n == 1 {
		return "has"
	}
	return "have"
}

// same compares two names as a person would: case, hyphens between words and
// spaces do not matter.
func same(a, b string) bool { return plain(a) == plain(b) }

func plain(s string) string { return strings.Join(strings.Fields(strings.ToLower(s)), " ") }
