package order

import (
	"fmt"

	"stubup/base/unit"
)

// PriceName returns what a price for this row alone is called in the document.
func (l Line) PriceName() string {
	if len(l.names) == 0 {
		return l.Item
	}
	return l.names[0]
}

// PriceFor reports whether a price is this row's own, and not one that other
// rows share.
func (l Line) PriceFor(item string) bool { return same(item, l.PriceName()) }

// PriceBy returns the measure that a price of this row is by where nobody says
// another: what it is bought by.
func (l Line) PriceBy() string {
	switch {
	case l.Packs > 0:
		return "pack"
	case l.Unit == "ft" || l.Unit == "m":
		return l.Unit
	}
	return "each"
}

// NotBy returns why a price by a measure cannot be used for this row; nothing
// where it can.
func (l Line) NotBy(per string) string {
	_, why := l.priced(per)
	return why
}

// OnPlan says what of a row is on the plan, beside what is counted.
func (l Line) OnPlan(run func(id string) bool) string {
	n := len(l.For)
	amount := fmt.Sprintf("%s %s", unit.Trim(l.Count, 1), l.Unit)
	if l.Unit == "each" {
		amount = unit.Trim(l.Count, 0)
	}
	switch each := int(l.Count); {
	case n == 0:
		return "Not on the plan: it is for the crew and its tools, at no one place."
	case run(l.For[0]) && l.Count > 0:
		return fmt.Sprintf("%s on the plan: %s counted along %s.", count(n, "run"), amount, them(n))
	case l.Count <= 0:
		return fmt.Sprintf("%d on the plan; how many it takes is not told yet.", n)
	case l.Unit == "each" && each == n:
		return fmt.Sprintf("%d on the plan, %d counted.", n, n)
	case l.Unit == "each" && each > n && each%n == 0:
		return fmt.Sprintf("%d on the plan, %d counted: %d to each.", n, each, each/n)
	case l.Unit == "each":
		return fmt.Sprintf("%d on the plan, %d counted: shared among them.", n, each)
	}
	return fmt.Sprintf("%d on the plan, %s counted in all of them.", n, amount)
}

func them(n int) string {
	if n == 1 {
		return "it"
	}
	return "them"
}
