package sums

import (
	"fmt"
	"math"
	"strings"

	"stubup/base/trace"
	"stubup/base/unit"
	"stubup/trade/ground"
	"stubup/trade/stock"
)

const textbook = "a textbook form for even soil, for a hand check and a first guess; a site is proved by the field solution (prove, or calc electrodes) and by a test"

var groundCautions = []string{
	permission,
	"An estimate from even soil; sites where a high-voltage fault can come, step and touch need an engineer.",
	"Before a rod is driven: a valid ticket, private lines, and hands first inside a tolerance band.",
}

var (
	soilIn  = Input{Name: "soil", Meaning: "resistivity of the soil", Kind: Quantity, Dim: unit.Resistivity, Required: true, Example: "100 ohm-m"}
	limitIn = Input{Name: "limit", Meaning: "resistance asked for, and by whom is yours to know", Kind: Quantity, Dim: unit.Resistance}
)

// margin adds how a resistance stands against its limit.
func (c *call) margin(r unit.Ohm, v *trace.Value) {
	if !c.has("limit") {
		return
	}
	l := unit.Ohm(c.data["limit"].si)
	m := ground.Margin(r, l)
	// Toward zero: a margin is never rounded up.
	text := unit.Fixed(math.Floor(float64(m)*100), 0) + " % under"
	if m < 0 {
		text = unit.Fixed(math.Ceil(-float64(m)*100), 0) + " % over"
	}
	c.verdict("margin", "limit of "+c.data["limit"].text, m >= 0, text, plain("(limit - R) / limit"), append(c.in("limit"), v)...)
	be := unit.OhmMetre(c.data["soil"].si) * unit.OhmMetre(ground.BreakEven(r, l))
	c.row("even", "soil at which the limit is just met", number{float64(be), "ohm-m", unit.Trim(float64(be), 1) + " ohm-m"}, plain("soil x limit / R"), append(c.in("soil", "limit"), v)...)
}

var rodSum = Sum{
	Name: "rod", What: "resistance of one or several rods by the textbook forms",
	Inputs: []Input{
		soilIn,
		{Name: "length", Meaning: "length of a rod in contact with soil", Kind: Quantity, Dim: unit.Length, Required: true, Example: "8 ft"},
		{Name: "diameter", Meaning: "diameter of a rod", Kind: Quantity, Dim: unit.Length, Required: true, Example: "5/8 in"},
		{Name: "count", Meaning: "rods joined", Kind: Count, Default: "1"},
		{Name: "spacing", Meaning: "distance between them", Kind: Quantity, Dim: unit.Length},
		{Name: "top", Meaning: "depth of the top of one rod", Kind: Quantity, Dim: unit.Length, Zero: true, Default: "0 in"},
		limitIn,
	},
	Cautions: groundCautions,
	run:      rod,
}

func rod(c *call) {
	rho, l, a, top := unit.OhmMetre(c.data["soil"].si), c.metre("length"), c.metre("diameter")/2, c.metre("top")
	n, s := c.data["count"].n, c.metre("spacing")
	if a*10 > l {
		c.fail("diameter", "is not thin against the length", "a rod is at least five times as long as thick; write the diameter in inches")
		return
	}
	if n == 1 {
		c.unused("spacing")
	} else if !c.has("spacing") {
		c.fail("spacing", "is missing: several rods need it", "write it like "+unit.Length.Example())
		return
	}
	in := c.in("soil", "length", "diameter")
	b, r1 := by("ground.rod.grade"), ground.RodAtGrade(rho, l, a)
	name := "one rod, driven from grade"
	if top > 0 {
		if n > 1 {
			c.fail("top", "is counted for one rod only", "leave it out, or count 1")
			return
		}
		b, r1 = by("ground.rod.buried"), ground.RodBuried(rho, l, a, top)
		name = "one rod, its top at " + c.data["top"].text
		in = append(in, c.in("top")...)
	}
	one := c.row("one", name, ohms(r1), b, in...)
	if float64(l/a) < 50 {
		c.outside(one, "the rod is thick against its length: the form wants it much longer")
	}
	r, v := r1, one
	if n == 2 {
		r = ground.TwoRods(rho, l, a, s)
		v = c.row("two", "two rods joined", ohms(r), by("ground.rods.two"), append(in, c.in("count", "spacing")...)...)
		if s < l*(1-1e-9) {
			c.outside(v, "the form for two rods wants them farther apart than they are long")
		}
	}
	if n > 2 {
		k, ok := ground.MultiRodFactor(n)
		t := ground.MultiRods()
		if !ok {
			var have []string
			for _, row := range t.Rows {
				have = append(have, row[0])
			}
			c.fail("count", fmt.Sprintf("no factor is printed for %d rods", n), "the table has "+strings.Join(have, ", ")+"; others take calc electrodes")
			return
		}
		f := c.figure("factor", fmt.Sprintf("factor for %d rods one rod length apart", n), factor(k, 2), t.Cite)
		r = unit.Ohm(k/float64(n)) * r1
		v = c.row("all", fmt.Sprintf("%d rods joined", n), ohms(r), trace.By{Equation: "R = F R1 / n", Cite: t.Cite}, append(c.in("count", "spacing"), one, f)...)
		if math.Abs(float64(s/l)-1) > 0.05 {
			c.outside(v, "the factors are for rods one rod length apart")
		}
	}
	c.row("thumb", "one rod by rule of thumb", ohms(ground.RodThumb(rho, l)), by("ground.rod.thumb"), c.in("soil", "length")...)
	c.margin(r, v)
	c.note(textbook)
}

var ringSum = Sum{
	Name: "ring", What: "resistance of a buried ring by the textbook forms",
	Inputs: []Input{
		soilIn,
		{Name: "long", Meaning: "long side of a rectangular ring", Kind: Quantity, Dim: unit.Length, Or: "diameter", Example: "36 ft"},
		{Name: "wide", Meaning: "short side of a rectangular ring", Kind: Quantity, Dim: unit.Length, Example: "26 ft"},
		{Name: "diameter", Meaning: "diameter of a round ring", Kind: Quantity, Dim: unit.Length, Or: "long"},
		{Name: "conductor", Meaning: "ring conductor", Kind: BareWire, Required: true, Example: "2 AWG solid tinned copper"},
		{Name: "depth", Meaning: "depth of the ring", Kind: Quantity, Dim: unit.Length, Required: true, Example: "30 in"},
		limitIn,
	},
	Cautions: groundCautions,
	run:      ring,
}

func ring(c *call) {
	rho, depth := unit.OhmMetre(c.data["soil"].si), c.metre("depth")
	var d, perimeter unit.Metre
	var size []*trace.Value
	switch {
	case c.has("diameter") && (c.has("long") || c.has("wide")):
		c.fail("diameter", "is given together with a side", "give the diameter, or both sides")
		return
	case c.has("diameter"):
		d = c.metre("diameter")
		perimeter, size = d*math.Pi, c.in("diameter")
	case !c.has("wide"):
		c.fail("wide", "is missing: a rectangular ring has two sides", "write it like "+unit.Length.Example())
		return
	default:
		l, w := c.metre("long"), c.metre("wide")
		d, perimeter = 2*unit.Metre(math.Sqrt(float64(l)*float64(w)/math.Pi)), 2*(l+w)
		v := c.row("diameter", "circle of the same area", feetInches(d), plain("d = 2 sqrt(long x wide / pi)"), c.in("long", "wide")...)
		if max(l/w, w/l) > 2 {
			c.outside(v, "the ring is more than twice as long as wide: a circle stands in for it badly")
		}
		size = []*trace.Value{v}
		c.note("a circle of the same area has less wire than the rectangle, so the round ring reads high")
	}
	a := math.Pi / 4 * float64(d) * float64(d)
	wd, ref := c.data["conductor"].bare.Diameter()
	wv := c.figure("wire", "diameter of "+c.data["conductor"].text, thousandths(wd), ref)
	r := ground.CircularRing(rho, d, wd/2, depth)
	v := c.row("ring", "ring alone, as a round ring", ohms(r), by("ground.ring.circular"), append(append(c.in("soil", "conductor", "depth"), size...), wv)...)
	if 2*depth > d/4 {
		c.outside(v, "the ring lies deep against its size: the form wants twice the depth much under the diameter")
	}
	c.row("length", "conductor in the ring", feet(perimeter), plain("2 (long + wide), or pi d"), size...)
	c.row("thumb", "ring alone, rule of thumb", ohms(ground.RingThumb(rho, a)), by("ground.ring.thumb"), append(c.in("soil"), size...)...)
	c.margin(r, v)
	c.note("rods, whips and what the ring is bonded to are not in it")
	c.note(textbook)
}

var sparesSum = Sum{
	Name: "spares", What: "spares and packs of one item",
	Inputs: []Input{
		{Name: "items", Meaning: "how many the job uses", Kind: Count, Required: true, Zero: true, Example: "24"},
		{Name: "share", Meaning: "share kept over; at least one is", Kind: Quantity, Dim: unit.Share, Default: "10 %", Zero: true, Most: 10},
		{Name: "pack", Meaning: "how many in a pack, the supplier's figure", Kind: Count, Example: "10"},
	},
	run: func(c *call) {
		n := c.data["items"].n
		s := stock.Spares(n, unit.Ratio(c.data["share"].si))
		sp := c.row("spares", "spares", count(s), by("stock.spares"), c.in("items", "share")...)
		b := c.row("buy", "to buy", count(n+s), plain("items + spares"), append(c.in("items"), sp)...)
		if c.has("pack") {
			size := c.data["pack"].n
			p := stock.Packs(n+s, size)
			pv := c.row("packs", "packs", count(p), by("stock.packs"), append(c.in("pack"), b)...)
			c.row("over", "left in the packs beyond that", count(p*size-n-s), plain("packs x size - to buy"), pv, b)
		}
		c.note("charges of one size share their spares over the joints that use it")
	},
}
