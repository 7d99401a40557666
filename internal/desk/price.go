package desk

import (
	"fmt"
	"strconv"
	"strings"

	"stubup/site"
	"stubup/stage/order"
)

// price returns the edits that write a price of one row of the order, or take
// it out where nothing is typed. An unknown price is no price, never 0.
func (d *Desk) price(key, typed string) ([]site.Edit, string, error) {
	l := d.res.Order().Line(key)
	if l == nil {
		return nil, "", problem("tap the row again", "the order has no row %q any more", key)
	}
	own := ""
	for _, p := range d.res.Document.Site.Prices {
		if l.PriceFor(p.Item) {
			own = p.Item
		}
	}
	name := own
	if name == "" {
		name = l.PriceName()
	}
	path := "prices." + step(name)
	typed = strings.TrimSpace(typed)
	if typed == "" {
		switch {
		case own == "" && l.Price != nil:
			return nil, "", problem(fmt.Sprintf("write this row's own, or change %q", l.Price.Item), "the price stands under %q, which other rows share", l.Price.Item)
		case own == "":
			return nil, "", problem("type it with what it is for: 12.50 each, 1.10 per ft, 40 per pack", "no price is written for %s", l.Item)
		}
		return []site.Edit{{Path: path, Old: d.Get(path)}}, "no price: " + l.Item, nil
	}
	if _, err := strconv.ParseFloat(strings.TrimPrefix(typed, "$"), 64); err == nil {
		by := l.PriceBy()
		if by != "each" {
			by = "per " + by
		}
		typed += " " + by
	}
	p, err := priceOf(typed)
	if err != nil {
		return nil, "", err
	}
	if p.Amount <= 0 {
		return nil, "", problem("leave it empty where there is no price", "%q is no price", typed)
	}
	if why := l.NotBy(p.Per); l.Missing == "" && why != "" {
		return nil, "", problem("write it by what the row counts", "%s", why)
	}
	if d.Get("prices") == "" {
		if strings.ContainsAny(name, ":#\"'[]{},&*!|>%@`\\") {
			name = strconv.Quote(name)
		}
		return []site.Edit{{Path: "prices", New: name + ": " + typed}}, fmt.Sprintf("price of %s: %s", l.Item, typed), nil
	}
	return []site.Edit{{Path: path, Old: d.Get(path), New: typed}}, fmt.Sprintf("price of %s: %s", l.Item, typed), nil
}

// priceOf reads a price as the document does.
func priceOf(text string) (site.Price, error) {
	if strings.ContainsAny(text, "\n:#{}[]\"'") {
		return site.Price{}, problem("type it like 12.50 each, 1.10 per ft or 40 per pack", "%q is not a price", text)
	}
	doc := site.Load("price", []byte("format: 1\nprices:\n  it: "+text+"\n"))
	for _, x := range doc.Diags {
		if strings.HasPrefix(x.Span.Path, "prices") {
			return site.Price{}, problem(x.Mend, "%s", x.What)
		}
	}
	if len(doc.Site.Prices) != 1 {
		return site.Price{}, problem("type it like 12.50 each, 1.10 per ft or 40 per pack", "%q is not a price", text)
	}
	return doc.Site.Prices[0], nil
}

// served is what the page needs of one row of the order beside its table.
type served struct {
	Key   string   `json:"key"`
	Item  string   `json:"item"`
	For   []string `json:"for"`
	Said  string   `json:"said"`            // what of it is on the plan
	Price string   `json:"price,omitempty"` // as the document writes it, where it is this row's own
	Words string   `json:"words"`           // as printed: "no price" where there is none
	By    string   `json:"by"`              // "each", "per ft": what a bare figure is by
	Sum   string   `json:"sum,omitempty"`   // its amount
}

func (d *Desk) servedOf(l order.Line) served {
	r := served{Key: l.Key, Item: l.Item, For: append([]string{}, l.For...), Words: l.PriceWords(), By: l.PriceBy(), Sum: l.AmountWords()}
	r.Said = l.OnPlan(func(id string) bool { return d.res.Plan.RunByID(id) != nil })
	if r.By != "each" {
		r.By = "per " + r.By
	}
	for _, p := range d.res.Document.Site.Prices {
		if l.PriceFor(p.Item) {
			r.Price = strings.TrimSpace(d.Get("prices." + step(p.Item)))
		}
	}
	return r
}
