package sums

import (
	"errors"
	"fmt"
	"math"

	"stubup/base/trace"
	"stubup/base/unit"
	"stubup/trade/raceway"
)

// arcStart is said wherever marks are printed.
const arcStart = "marks are where arcs start, along the pipe; the mark on a shoe sits elsewhere and moves all of them by its own amount"

func radiusIn(example string) []Input {
	return []Input{
		{Name: "radius", Meaning: "radius of the bend to the centerline of the pipe, as the shoe has it", Kind: Quantity, Dim: unit.Length, Or: "trade", Zero: true},
		{Name: "trade", Meaning: "trade size; without a radius the least of Chapter 9 Table 2 is taken (one-shot; other bends for nonmetallic)", Kind: TradeSize, Or: "radius", Example: example},
	}
}

func angleIn(def string, most float64) Input {
	return Input{Name: "angle", Meaning: "angle of each bend", Kind: Quantity, Dim: unit.Angle, Default: def, Most: most, Example: def}
}

// radius returns the bend radius that was given, or the least of the table.
func (c *call) radius() (unit.Metre, *trace.Value, bool) {
	t := c.data["trade"].trade
	method, how := raceway.OneShot, "one-shot bender"
	if k := c.data["kind"].kind; k != "" && !k.Metal() {
		method, how = raceway.OtherBend, "other bends"
	}
	least, ref, ok := raceway.MinBendRadius(t, method)
	if !c.has("radius") {
		if !ok {
			c.fail("trade", fmt.Sprintf("%v has no bend radius in the table", t), nearest(bendSizes(), t.Nominal())+"; or give the radius")
			return 0, nil, false
		}
		v := trace.Input(c.path("figure.radius"), fmt.Sprintf("bend radius of %v, %s", t, how), float64(least), "m", unit.Inches(least), trace.Default, ref)
		c.res.Figures = append(c.res.Figures, v)
		return least, v, true
	}
	r, v := c.metre("radius"), c.vals["radius"]
	if c.has("trade") && ok {
		c.figure("radius", fmt.Sprintf("least bend radius of %v, %s", t, how), inches(least), ref)
		if r < least*(1-1e-9) {
			c.outside(v, fmt.Sprintf("a radius of %s is under the least of Table 2 for %v, %s", unit.Inches(r), t, unit.Inches(least)))
		}
	}
	return r, v, true
}

func bendSizes() []unit.Trade {
	var out []unit.Trade
	for _, t := range unit.Trades() {
		if _, _, ok := raceway.MinBendRadius(t, raceway.OneShot); ok {
			out = append(out, t)
		}
	}
	return out
}

func (c *call) angle() unit.Degree { return unit.Degree(c.data["angle"].si) }

// tight turns an error of a bend into a fault of the input that makes it.
func (c *call) tight(err error, input string) bool {
	if err == nil {
		return false
	}
	mend := ""
	if errors.Is(err, raceway.ErrTooTight) {
		mend = "take a smaller angle, a smaller radius or more height"
	}
	c.fail(input, err.Error(), mend)
	return true
}

// heated says what a PVC bend needs.
func (c *call) heated(k raceway.Kind, od unit.Metre, r unit.Metre, rv *trace.Value) {
	m, ok := raceway.MaterialOf(k, false)
	if !ok || m != raceway.PVC {
		return
	}
	c.caution("Heated PVC burns the skin and gives off fumes: gloves, air, and no torch.")
	if t := c.data["trade"].trade; t != 0 {
		s, _ := raceway.MinHeatTime(t)
		c.row("heat", "heat evenly for at least", number{float64(s), "s", unit.Trim(float64(s)/60, 1) + " min"}, by("raceway.pvc.heat"), c.in("kind", "trade")...)
	}
	if od > 0 {
		least, ref := raceway.HeatRadius(od)
		c.verdict("heat.radius", "inside radius of a bend made with heat", r-od/2 >= least*(1-1e-9), unit.Inches(r-od/2)+", at least "+unit.Inches(least), trace.By{Equation: "4 x outside diameter", Cite: ref}, rv)
	}
}

var bendSum = Sum{
	Name: "bend", What: "one bend: pipe in it, gain, mark of a stub, pipe to cut",
	Inputs: append([]Input{
		{Name: "kind", Meaning: "kind of raceway; for the take-up of a shoe and the pipe to cut", Kind: RacewayKind, Example: "EMT"},
	}, append(radiusIn("3/4"), []Input{
		{Name: "angle", Meaning: "angle of the bend", Kind: Quantity, Dim: unit.Angle, Default: "90 deg", Most: 179},
		{Name: "stub", Meaning: "height of a 90 degree stub, to the back of the bend", Kind: Quantity, Dim: unit.Length, Example: "8-1/2 in"},
		{Name: "leg", Meaning: "length of the other leg, to the back of the bend", Kind: Quantity, Dim: unit.Length, Example: "4 ft"},
	}...)...),
	run: bend,
}

func bend(c *call) {
	r, rv, ok := c.radius()
	if !ok {
		return
	}
	k, t, a := c.data["kind"].kind, c.data["trade"].trade, c.angle()
	var d raceway.Dimensions
	if k != "" && t != 0 {
		if d, ok = c.dim("kind", "trade"); !ok {
			return
		}
	}
	for _, name := range []string{"stub", "leg"} {
		if c.has(name) && math.Abs(float64(a)-90) > 1e-9 {
			c.fail(name, "is measured to the back of a 90 degree bend", "leave it out at another angle, or run kick or offset")
			return
		}
	}
	in := append(c.in("angle"), rv)
	long := c.row("length", "pipe in the bend", inches(raceway.DevelopedLength(r, a)), by("raceway.bend.length"), in...)
	c.row("tangent", "end of the bend to the corner of the centerlines", inches(raceway.Tangent(r, a)), by("raceway.bend.tangent"), in...)
	c.row("gain", "gain over a square corner", inches(raceway.Gain(r, a)), by("raceway.bend.gain"), append(in, long)...)
	if c.has("stub") && k != "" && t != 0 {
		m, ref, ok := raceway.TakeUpMark(k, t, c.metre("stub"))
		switch {
		case !ok:
			c.note("no take-up of a hand shoe is carried for %s %v: read it off the shoe", k, t)
		case m < 0:
			c.fail("stub", fmt.Sprintf("%s is shorter than the take-up of the shoe", c.data["stub"].text), "make the stub longer, or cut it after the bend")
			return
		default:
			up := c.figure("takeup", fmt.Sprintf("take-up of a hand shoe, %s %v", k, t), inches(c.metre("stub")-m), ref)
			c.row("mark", "arrow of the shoe, from the end of the stub", inches(m), by("raceway.takeup"), append(c.in("stub", "kind", "trade"), up)...)
			c.note("the shoe in hand decides: read its take-up")
		}
	}
	if c.has("stub") && c.has("leg") {
		if d.OD == 0 {
			c.note("pipe to cut needs the outside diameter: give the kind and trade size")
		} else {
			od := c.figure("od", fmt.Sprintf("outside diameter of %s %v", k, t), thousandths(d.OD), d.Cite)
			l := raceway.CutLength(c.metre("stub"), c.metre("leg"), r, d.OD)
			s, g := c.metre("stub"), c.metre("leg")
			if s < r+d.OD/2 || g < r+d.OD/2 {
				c.fail("stub", "the bend is larger than the stub or the leg", fmt.Sprintf("both must be at least %s", unit.Inches(r+d.OD/2)))
				return
			}
			c.row("cut", "pipe for stub and leg, end to end", inches(l), by("raceway.bend.cut"), append(c.in("stub", "leg"), rv, od)...)
		}
	}
	c.heated(k, d.OD, r, rv)
}

var offsetSum = Sum{
	Name: "offset", What: "two equal bends past an obstruction: marks and shrink",
	Inputs: append([]Input{
		{Name: "height", Meaning: "offset between the centerlines", Kind: Quantity, Dim: unit.Length, Required: true, Example: "6 in"},
		angleIn("30 deg", 90),
	}, append(radiusIn("1"), []Input{
		{Name: "reach", Meaning: "end of the pipe to where the offset must be done", Kind: Quantity, Dim: unit.Length, Example: "4 ft"},
		{Name: "spacing", Meaning: "centers of a rack, for the raceways beside it", Kind: Quantity, Dim: unit.Length},
	}...)...),
	run: func(c *call) { offset(c, c.metre("height"), "height", c.in("height")) },
}

// offset answers an offset of a height that was given or found.
func offset(c *call, h unit.Metre, input string, from []*trace.Value) {
	r, rv, ok := c.radius()
	if !ok {
		return
	}
	o, err := raceway.OffsetOf(h, c.angle(), r)
	if c.tight(err, input) {
		return
	}
	in := append(append(from, c.in("angle")...), rv)
	marks, shrink := by("raceway.offset.marks"), by("raceway.offset.shrink")
	c.row("multiplier", "multiplier, without a radius", factor(o.Multiplier, 3), marks, c.in("angle")...)
	m := c.row("marks", "between the marks", inches(o.Marks), marks, in...)
	c.row("straight", "straight between the bends", inches(o.Straight), marks, in...)
	c.row("shrink", "shrink", inches(o.Shrink), shrink, in...)
	adv := c.row("advance", "along the run, first arc to the end of the second", inches(o.Advance), plain("2 R sin t + straight cos t"), in...)
	if c.has("reach") {
		first := c.metre("reach") - o.Advance
		if first < 0 {
			c.fail("reach", fmt.Sprintf("the offset takes %s of run, which is more", unit.Inches(o.Advance)), "start farther back, or take a larger angle")
			return
		}
		f := c.row("first", "first mark, from the end of the pipe", inches(first), plain("reach - advance"), append(c.in("reach"), adv)...)
		c.row("second", "second mark, from the end of the pipe", inches(first+o.Marks), plain("first mark + between the marks"), f, m)
	}
	if c.has("spacing") {
		c.row("shift", "each further raceway of the rack moves its marks by", inches(raceway.ParallelShift(c.metre("spacing"), c.angle())), trace.By{Equation: "spacing tan(t/2)", Cite: o.Cite}, c.in("spacing", "angle")...)
	}
	if s, ok := raceway.ShopOffsetOf(h, c.angle()); ok {
		shop := trace.By{Equation: "height x shop constant", Cite: s.Cite}
		c.row("shop.marks", "by shop constants: between the marks", inches(s.Marks), shop, in...)
		c.row("shop.shrink", "by shop constants: shrink", inches(s.Shrink), shop, in...)
		c.note("shop constants leave the radius out: bend by one set of marks, not by both")
	}
	c.note(arcStart)
}

var rollingSum = Sum{
	Name: "rolling", What: "an offset that rises and rolls at once: plane and marks",
	Inputs: append([]Input{
		{Name: "rise", Meaning: "how far it rises", Kind: Quantity, Dim: unit.Length, Required: true, Example: "6 in"},
		{Name: "roll", Meaning: "how far it goes sideways", Kind: Quantity, Dim: unit.Length, Required: true, Example: "8 in"},
		angleIn("30 deg", 90),
	}, append(radiusIn("1"), Input{Name: "reach", Meaning: "end of the pipe to where the offset must be done", Kind: Quantity, Dim: unit.Length})...),
	run: func(c *call) {
		h, plane := raceway.Rolling(c.metre("rise"), c.metre("roll"))
		in := c.in("rise", "roll")
		t := c.row("true", "true offset", inches(h), by("raceway.rolling"), in...)
		c.row("plane", "turn its plane from the rise by", degrees(plane), by("raceway.rolling"), in...)
		offset(c, h, "rise", []*trace.Value{t})
	},
}

var saddleSum = Sum{
	Name: "saddle", What: "three or four bends over an obstruction: marks and shrink",
	Inputs: append([]Input{
		{Name: "height", Meaning: "height over the obstruction, to the centerline at the top", Kind: Quantity, Dim: unit.Length, Required: true, Example: "3 in"},
		{Name: "bends", Meaning: "how many bends", Kind: Choice, Choices: []Word{{"3", "a center bend of twice the outer angle"}, {"4", "two offsets with a straight between"}}, Default: "3"},
		{Name: "angle", Meaning: "angle of an outer bend", Kind: Quantity, Dim: unit.Angle, Default: "22.5 deg", Most: 90},
	}, append(radiusIn("3/4"), []Input{
		{Name: "top", Meaning: "straight over the obstruction, of a saddle with four bends", Kind: Quantity, Dim: unit.Length, Zero: true},
		{Name: "center", Meaning: "end of the pipe to the middle of the obstruction", Kind: Quantity, Dim: unit.Length, Example: "30 in"},
	}...)...),
	run: saddle,
}

func saddle(c *call) {
	r, rv, ok := c.radius()
	if !ok {
		return
	}
	h, a := c.metre("height"), c.angle()
	four := c.data["bends"].word == "4"
	var s raceway.Saddle
	var err error
	var top unit.Metre
	switch {
	case four && !c.has("top"):
		c.fail("top", "is missing: a saddle with four bends needs it", "write it like "+unit.Length.Example())
		return
	case four:
		top = c.metre("top")
		s, err = raceway.Saddle4Of(h, top, a, r)
	case c.has("top"):
		c.fail("top", "belongs to a saddle with four bends", "leave it out, or write bends 4")
		return
	case a > 45:
		c.fail("angle", "the center bend would be over 90 degrees", "take an outer angle up to 45 deg, or bends 4")
		return
	default:
		s, err = raceway.Saddle3Of(h, a, r)
	}
	if c.tight(err, "height") {
		return
	}
	o, _ := raceway.OffsetOf(h, a, r)
	in := append(c.in("height", "bends", "angle", "top"), rv)
	b := by("raceway.saddle3")
	if four {
		b = trace.By{Equation: "an offset up, the top, an offset down", Cite: s.Cite}
	} else {
		c.row("center.angle", "center bend", degrees(s.Center), b, c.in("angle")...)
	}
	c.row("shrink", "shrink of the whole", inches(s.Shrink), b, in...)
	c.row("straight", "straight between an outer bend and the next", inches(s.Straight), b, in...)
	name := []string{"first", "second", "third", "fourth"}
	var marks []*trace.Value
	for i, m := range s.Marks {
		if i > 0 {
			marks = append(marks, c.row("mark."+name[i], name[i]+" mark, from the first", inches(m), b, in...))
		}
	}
	if c.has("center") {
		first := c.metre("center") - o.Advance - top/2
		if first < 0 {
			c.fail("center", fmt.Sprintf("half of the saddle takes %s of run, which is more", unit.Inches(o.Advance+top/2)), "start farther back, or take a larger angle")
			return
		}
		for i, m := range s.Marks {
			v := c.row("end."+name[i], name[i]+" mark, from the end of the pipe", inches(first+m), plain("middle - half of the run of the saddle + mark"), c.in("center")...)
			v.From = append(v.From, marks...)
		}
	}
	if !four {
		if outer, shift, ref, ok := raceway.ShopSaddle3(h, s.Center); ok {
			shop := trace.By{Equation: "height x shop constant", Cite: ref}
			c.row("shop.outer", "by shop constants: center mark to an outer mark", inches(outer), shop, in...)
			c.row("shop.shift", "by shop constants: center mark moves on by", inches(shift), shop, in...)
			if c.has("center") {
				c.row("shop.center", "by shop constants: center mark, from the end of the pipe", inches(c.metre("center")+shift), shop, append(c.in("center"), in...)...)
			}
			c.note("shop constants leave the radius out: bend by one set of marks, not by both")
		}
	}
	c.note(arcStart)
}

var kickSum = Sum{
	Name: "kick", What: "one small bend that lifts the end of a leg",
	Inputs: append([]Input{
		{Name: "rise", Meaning: "how far the end rises", Kind: Quantity, Dim: unit.Length, Required: true, Example: "4 in"},
		angleIn("15 deg", 89),
	}, radiusIn("1")...),
	run: func(c *call) {
		r, rv, ok := c.radius()
		if !ok {
			return
		}
		k, err := raceway.KickOf(c.metre("rise"), c.angle(), r)
		if c.tight(err, "rise") {
			return
		}
		in := append(c.in("rise", "angle"), rv)
		b := by("raceway.kick")
		c.row("travel", "corner of the centerlines to the end of the leg", inches(k.Travel), b, in...)
		c.row("mark", "near end of the arc, back from the end of the leg", inches(k.Mark), b, in...)
		c.note(arcStart)
	},
}

var segmentSum = Sum{
	Name: "segment", What: "a 90 degree bend of large radius made of many small ones",
	Inputs: []Input{
		{Name: "stub", Meaning: "height of the stub, to the back of the bend", Kind: Quantity, Dim: unit.Length, Required: true, Example: "48 in"},
		{Name: "leg", Meaning: "length of the leg, to the back of the bend", Kind: Quantity, Dim: unit.Length, Required: true, Example: "44 in"},
		{Name: "radius", Meaning: "radius to the centerline", Kind: Quantity, Dim: unit.Length, Required: true, Example: "24 in"},
		{Name: "shots", Meaning: "how many small bends", Kind: Count, Required: true, Most: 90, Example: "18"},
		{Name: "kind", Meaning: "kind of raceway, for its outside diameter", Kind: RacewayKind, Required: true, Example: "RMC"},
		{Name: "trade", Meaning: "trade size", Kind: TradeSize, Required: true, Example: "2"},
	},
	run: segment,
}

func segment(c *call) {
	k, t := c.data["kind"].kind, c.data["trade"].trade
	d, ok := c.dim("kind", "trade")
	if !ok {
		return
	}
	if d.OD == 0 {
		c.fail("trade", fmt.Sprintf("no outside diameter is carried for %s %v", k, t), "measure it; here only sizes with a source are counted")
		return
	}
	r := c.metre("radius")
	s, err := raceway.SegmentedOf(c.metre("stub"), c.metre("leg"), r, d.OD, c.data["shots"].n)
	if err != nil {
		c.fail("radius", err.Error(), fmt.Sprintf("stub and leg must be at least %s", unit.Inches(r+d.OD/2)))
		return
	}
	od := c.figure("od", fmt.Sprintf("outside diameter of %s %v", k, t), thousandths(d.OD), d.Cite)
	in := append(c.in("stub", "leg", "radius", "shots"), od)
	b := by("raceway.segment")
	c.row("first", "end of the stub to where the arc starts", inches(s.D1), b, in...)
	c.row("spacing", "between shots", inches(s.Spacing), b, in...)
	c.row("each", "bend of each shot", degrees(s.Each), b, c.in("shots")...)
	c.row("arc", "pipe in the arc", inches(s.Arc), b, in...)
	c.row("last", "end of the arc to the end of the leg", inches(s.D2), b, in...)
	c.row("total", "pipe, end to end", inches(s.Total), b, in...)
	if least, ref, ok := raceway.MinBendRadius(t, raceway.OtherBend); ok {
		c.verdict("holds", "radius", r >= least*(1-1e-9), unit.Inches(least)+" at least", from(ref), c.in("radius", "trade")...)
	}
	c.note("the first shot lies half a spacing past the start of the arc, the last half a spacing before its end (common practice, no source)")
	c.heated(k, d.OD, r, c.vals["radius"])
}

var concentricSum = Sum{
	Name: "concentric", What: "bends of a rack around one center: each radius",
	Inputs: []Input{
		{Name: "radius", Meaning: "radius of the innermost, to its centerline", Kind: Quantity, Dim: unit.Length, Required: true, Example: "20 in"},
		{Name: "kind", Meaning: "kind of the raceways", Kind: RacewayKind, Required: true, Example: "RMC"},
		{Name: "trades", Meaning: "trade sizes, innermost first", Kind: TradeSizes, Required: true, Many: true, Example: "2, 2, 2"},
		{Name: "gap", Meaning: "clear gap between them", Kind: Quantity, Dim: unit.Length, Required: true, Example: "2 in"},
		{Name: "angle", Meaning: "angle of the bend", Kind: Quantity, Dim: unit.Angle, Default: "90 deg", Most: 179},
	},
	run: concentric,
}

func concentric(c *call) {
	k := c.data["kind"].kind
	var ods []unit.Metre
	var figs []*trace.Value
	seen := map[unit.Trade]bool{}
	for _, it := range c.data["trades"].items {
		d, ok := raceway.Dim(k, it.trade)
		if !ok {
			c.fail("trades", fmt.Sprintf("%s %v is not carried", k, it.trade), nearest(raceway.Sizes(k), it.trade.Nominal()))
			return
		}
		if d.OD == 0 {
			c.fail("trades", fmt.Sprintf("no outside diameter is carried for %s %v", k, it.trade), "measure it; here only sizes with a source are counted")
			return
		}
		ods = append(ods, d.OD)
		if !seen[it.trade] {
			seen[it.trade] = true
			figs = append(figs, c.figure("od."+it.trade.Name(), fmt.Sprintf("outside diameter of %s %v", k, it.trade), thousandths(d.OD), d.Cite))
		}
	}
	r := c.metre("radius")
	in := append(c.in("radius", "kind", "trades", "gap"), figs...)
	for i, it := range c.data["trades"].items {
		if i > 0 {
			r = raceway.ConcentricRadius(r, ods[i-1], c.metre("gap"), ods[i])
		}
		v := c.row(fmt.Sprintf("radius%d", i+1), fmt.Sprintf("radius of raceway %d, %v", i+1, it.trade), inches(r), by("raceway.concentric"), in...)
		c.row(fmt.Sprintf("length%d", i+1), fmt.Sprintf("pipe in the bend of raceway %d", i+1), inches(raceway.DevelopedLength(r, c.angle())), by("raceway.bend.length"), append(c.in("angle"), v)...)
		if least, _, ok := raceway.MinBendRadius(it.trade, raceway.OtherBend); ok && r < least*(1-1e-9) {
			c.outside(v, fmt.Sprintf("a radius of %s is under the least of Table 2 for %v, %s", unit.Inches(r), it.trade, unit.Inches(least)))
		}
	}
}
