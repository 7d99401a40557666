package sums

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"stubup/base/cite"
	"stubup/base/stable"
	"stubup/base/trace"
	"stubup/base/unit"
	"stubup/trade/conductor"
	"stubup/trade/raceway"
)

const permission = "Local code, the AHJ and a licensed person decide; these are quantities, not permission."

var editionIn = Input{Name: "edition", Meaning: "edition of NFPA 70", Kind: Year, Default: "2023"}

var fillSum = Sum{
	Name: "fill", What: "how full a raceway is, or the smallest size that holds a set",
	Inputs: []Input{
		{Name: "kind", Meaning: "kind of raceway", Kind: RacewayKind, Required: true, Example: "PVC-40"},
		{Name: "trade", Meaning: "trade size; without it the smallest that holds is found", Kind: TradeSize},
		{Name: "wires", Meaning: "conductors, count and size and insulation; EGCs count too", Kind: Conductors, Or: "cables", Many: true, Example: "3 x 500 THHN + 1 x 250 THHN + 1 x 3 THHN"},
		{Name: "cables", Meaning: "cables, count and outside diameter; a multiconductor or fiber cable is one", Kind: Cables, Or: "wires", Many: true},
		{Name: "nipple", Meaning: "a nipple, not over 24 in long", Kind: YesNo, Default: "no"},
	},
	Cautions: []string{permission},
	run:      fill,
}

func fill(c *call) {
	k, nipple := c.data["kind"].kind, c.data["nipple"].yes
	var set []raceway.Filler
	var figures []*trace.Value
	seen := map[string]bool{}
	for _, it := range append(slices.Clone(c.data["wires"].items), c.data["cables"].items...) {
		name := strings.TrimPrefix(it.text, fmt.Sprintf("%d x ", it.n))
		var f raceway.Filler
		var ref cite.Ref
		switch {
		case it.od > 0:
			f = raceway.Cable(it.n, name, it.od)
		case it.insulation == "":
			p, _ := conductor.Table8(it.wire, it.solid)
			f, ref = raceway.Filler{Name: name, Count: it.n, Diameter: p.Diameter, Area: p.Area}, p.Cite
		default:
			var err error
			if f, ref, err = raceway.Conductors(it.n, conductor.Insulated{Size: it.wire, Insulation: it.insulation}); err != nil {
				c.fail("wires", err.Error(), "")
				return
			}
		}
		set = append(set, f)
		if !ref.IsZero() && !seen[name] {
			seen[name] = true
			figures = append(figures, c.figure(fmt.Sprintf("wire%d", len(seen)), "area of one "+name, area(f.Area), ref))
		}
	}
	inputs := c.in("kind", "wires", "cables", "nipple")
	smallest := func() (unit.Trade, raceway.Fill, bool) {
		t, f, err := raceway.SmallestTrade(k, set, nipple)
		return t, f, err == nil
	}
	var f raceway.Fill
	t := c.data["trade"].trade
	if c.has("trade") {
		if _, ok := c.dim("kind", "trade"); !ok {
			return
		}
		inputs = append(inputs, c.in("trade")...)
		var err error
		if f, err = raceway.CheckFill(k, t, set, nipple); err != nil {
			c.fail("", err.Error(), "")
			return
		}
	} else {
		var ok bool
		if t, f, ok = smallest(); !ok {
			c.fail("kind", fmt.Sprintf("no trade size of %s that is carried here holds the set", k), "split the set, or take a kind that comes larger")
			return
		}
	}
	d, _ := raceway.Dim(k, t)
	_, shareRef := raceway.FillShare(f.Count, nipple)
	id := c.figure("inside", fmt.Sprintf("inside diameter of %s %v", k, t), thousandths(d.ID), d.Cite)
	allow := c.figure("share", fmt.Sprintf("share allowed for %d%s", f.Count, map[bool]string{true: " in a nipple"}[nipple]), share(f.Share), shareRef)
	all := append(append(slices.Clone(inputs), figures...), id, allow)
	rule := by("raceway.fill.area")
	if f.Test == raceway.CountTest {
		rule = by("raceway.fill.count")
	}
	if !c.has("trade") {
		c.row("trade", "smallest trade size that holds them", tradeSize(t), rule, all...)
	}
	used := c.row("used", "taken up by them", area(f.Used), by("raceway.fill.area"), append(slices.Clone(inputs), figures...)...)
	room := c.row("allowed", "they may take up", area(f.Allowed), by("raceway.fill.area"), id, allow)
	c.row("found", "share they take up", share(f.Found), by("raceway.fill.area"), used, id)
	if f.Test == raceway.CountTest {
		c.row("most", "most of that size", count(f.Most), rule, all...)
	}
	w := fmt.Sprintf("%s of %s allowed", unit.Trim(float64(f.Found)*100, 1)+" %", unit.Trim(float64(f.Share)*100, 1)+" %")
	if f.Test == raceway.CountTest {
		w = fmt.Sprintf("%d of %d allowed", f.Count, f.Most)
	}
	c.verdict("holds", fmt.Sprintf("fill of %s %v", k, t), f.Holds, w, rule, used, room)
	if c.has("trade") && !f.Holds {
		if s, _, ok := smallest(); ok {
			c.row("smallest", "smallest trade size that holds them", tradeSize(s), rule, all...)
		} else {
			c.note("no trade size of %s that is carried here holds them", k)
		}
	}
	if f.ByRounding {
		c.note("it passes only because a decimal of 0.8 and over counts as one more (Chapter 9 Table 1 note 7)")
	}
	if f.Borderline {
		c.note("the ratio lies where the count rounds: a printed count may differ by one")
	}
	if nipple {
		c.note("a nipple is not over 24 in long between enclosures")
	}
	if f.Count == 3 && f.Test == raceway.CountTest {
		if j, ok := raceway.JamRatio(k, t, set[0].Diameter); ok {
			v := c.row("jam", "inside diameter over one conductor", factor(j.Ratio, 2), from(j.Cite), id)
			if j.Risk {
				c.outside(v, "three alike of this size may wedge side by side in a bend")
				c.caution("Three alike may jam in a bend: take another size, or talk to whoever pulls.")
			}
		}
	}
}

var boxSum = Sum{
	Name: "box", What: "room that conductors of 6 AWG and smaller need in a box",
	Inputs: []Input{
		{Name: "wires", Meaning: "conductors that end, are spliced or pass through; a long loop counts twice", Kind: Wires, Or: "grounds", Many: true, Example: "4 x 14 + 2 x 12"},
		{Name: "grounds", Meaning: "equipment grounding conductors", Kind: Wires, Or: "wires", Many: true, Example: "3 x 12"},
		{Name: "devices", Meaning: "devices on a single yoke, with the size of their wire", Kind: Wires, Many: true, Example: "1 x 12"},
		{Name: "wide", Meaning: "gangs of a device wider than 2 in, with the size of its wire", Kind: Wires, Many: true},
		{Name: "clamps", Meaning: "any clamp inside the box", Kind: YesNo, Default: "no", Example: "yes"},
		{Name: "supports", Meaning: "kinds of support fitting inside: stud, hickey", Kind: Count, Zero: true, Default: "0"},
		{Name: "volume", Meaning: "volume marked on the box", Kind: Volume, Example: "21 in3"},
		editionIn,
	},
	Cautions: []string{permission, "Kill and test the circuit before a box is opened."},
	run:      boxFill,
}

func boxFill(c *call) {
	in := raceway.BoxContent{Conductors: map[unit.Wire]int{}, Clamps: c.data["clamps"].yes, Supports: c.data["supports"].n, Edition: c.data["edition"].n}
	names := []string{"wires", "grounds", "devices", "wide"}
	for _, name := range names {
		for _, it := range c.data[name].items {
			one, err := raceway.BoxFillOf(raceway.BoxContent{Conductors: map[unit.Wire]int{it.wire: 1}})
			if err != nil {
				c.fail(name, err.Error(), "count 18 to 6 AWG here; for larger ones run pullbox")
				return
			}
			switch name {
			case "wires":
				in.Conductors[it.wire] += it.n
			case "grounds":
				if it.n > 1000 {
					c.fail(name, "has more than 1000 conductors", "")
					return
				}
				for range it.n {
					in.Grounds = append(in.Grounds, it.wire)
				}
			case "devices":
				if it.n > 1000 {
					c.fail(name, "has more than 1000 devices", "")
					return
				}
				for range it.n {
					in.Devices = append(in.Devices, raceway.Device{Size: it.wire})
				}
			default:
				in.Devices = append(in.Devices, raceway.Device{Size: it.wire, Gangs: it.n})
			}
			key := "allowance." + it.wire.Name()
			if !slices.ContainsFunc(c.res.Figures, func(v *trace.Value) bool { return v.Path == c.path("figure."+key) }) {
				c.figure(key, fmt.Sprintf("allowance of one %v", it.wire), volume(one.Volume), one.Cite[0])
			}
		}
	}
	f, err := raceway.BoxFillOf(in)
	if err != nil {
		c.fail("", err.Error(), "")
		return
	}
	b := by("raceway.box.fill")
	for _, r := range f.Cite {
		b.Cite.Seen = cite.Worst(b.Cite.Seen, r.Seen)
	}
	var parts []*trace.Value
	for i, it := range f.Items {
		key := fmt.Sprintf("item%d", i+1)
		name := fmt.Sprintf("%s, counting %s x %v", it.Name, unit.Trim(it.Count, 2), it.Size)
		parts = append(parts, c.row(key, name, volume(it.Volume), b, append(c.in(append(names, "clamps", "supports", "edition")...), c.res.Figures...)...))
	}
	total := c.row("volume", "least volume of the box", volume(f.Volume), b, parts...)
	if c.has("volume") {
		have := raceway.Volume(c.data["volume"].si)
		c.verdict("holds", "box of "+c.data["volume"].text, have >= f.Volume*(1-1e-9), fmt.Sprintf("%s in3 needed", unit.Trim(f.Volume.In3(), 2)), b, append(c.in("volume"), total)...)
	}
	boxes, ref := raceway.MetalBoxes()
	stable.Sort(boxes, func(a, b raceway.MetalBox) int { return cmp.Compare(a.Volume, b.Volume) })
	i := slices.IndexFunc(boxes, func(b raceway.MetalBox) bool { return b.Volume >= f.Volume*(1-1e-9) })
	if i < 0 {
		c.note("no metal box of the table is that large: use the marked volume, or box with an extension")
	} else {
		c.row("smallest", "smallest metal box listed: "+boxes[i].Name, volume(boxes[i].Volume), from(ref), total)
	}
	c.note("a plaster ring or extension adds its marked volume; fixture wires of a canopy are not counted here")
}

var pullboxSum = Sum{
	Name: "pullbox", What: "least size of a pull box for conductors of 4 AWG and larger",
	Inputs: []Input{
		{Name: "pulls", Meaning: "each pull: trade size, wall it enters, wall it leaves by (west, east, south, north, back), or spliced", Kind: Pulls, Required: true, Many: true, Example: "3 west to east, 2 west to north"},
		{Name: "largest", Meaning: "largest conductor; a raceway in the back needs it", Kind: WireSize, Example: "4/0"},
	},
	Cautions: []string{permission},
	run:      pullbox,
}

func pullbox(c *call) {
	w := c.data["largest"].wire
	var entries []raceway.Entry
	out := ""
	for _, it := range c.data["pulls"].items {
		i := len(entries)
		scope := w
		if scope == 0 {
			scope = unit.Wires()[len(unit.Wires())-1]
		}
		if !raceway.InScope(it.trade, scope) {
			out = "314.28 counts raceways of trade size 3/4 and larger that hold 4 AWG and larger"
		}
		if it.from == raceway.Back || !it.spliced && it.to == raceway.Back {
			if w == 0 {
				c.fail("largest", "is missing: a raceway in the back needs it", `write it like "4/0"`)
				return
			}
			if _, _, ok := conductor.BendSpace(w, 1); !ok {
				c.fail("largest", fmt.Sprintf("no bending space is printed for %v", w), "")
				return
			}
		}
		if it.spliced {
			entries = append(entries, raceway.Entry{Wall: it.from, Trade: it.trade, To: -1, Largest: w})
			continue
		}
		entries = append(entries, raceway.Entry{Wall: it.from, Trade: it.trade, To: i + 1, Largest: w}, raceway.Entry{Wall: it.to, Trade: it.out, To: i, Largest: w})
	}
	b, err := raceway.PullBox(entries)
	if err != nil {
		c.fail("pulls", err.Error(), "")
		return
	}
	inputs := c.in("pulls", "largest")
	name := func(i int) string { return fmt.Sprintf("%d (%v, %v)", i+1, entries[i].Trade, entries[i].Wall) }
	reasons := map[string][]*trace.Value{}
	for i, r := range b.Reasons {
		bb := from(r.Cite)
		switch {
		case strings.HasPrefix(r.Why, "straight"):
			bb = by("raceway.box.straight")
		case strings.HasPrefix(r.Why, "angle"):
			bb = by("raceway.box.angle")
		}
		reasons[r.Across] = append(reasons[r.Across], c.row(fmt.Sprintf("reason%d", i+1), r.Across+": "+r.Why, inches(r.Least), bb, inputs...))
	}
	for _, s := range []struct {
		key, across string
		least       unit.Metre
	}{{"x", "west to east", b.X}, {"y", "south to north", b.Y}, {"depth", "back to cover", b.Depth}} {
		if s.least == 0 {
			continue
		}
		v := c.row(s.key, "least, "+s.across, inches(s.least), plain("the greatest of its reasons"), reasons[s.across]...)
		if out != "" {
			c.outside(v, out)
		}
	}
	for i, s := range b.Spacing {
		_, ref := raceway.AnglePull(entries[s.A].Trade)
		c.row(fmt.Sprintf("spacing%d", i+1), fmt.Sprintf("between the edges of entries %s and %s", name(s.A), name(s.B)), inches(s.Least), trace.By{Equation: "6 x the larger trade size", Cite: ref}, inputs...)
	}
	if w == 0 {
		c.note("taken to hold 4 AWG and larger; smaller conductors are counted by box")
	}
	c.note("entries are counted in the order of the pulls, first end then other end; entries of one wall are taken to lie in one row")
	if b.X == 0 || b.Y == 0 {
		c.note("the other way across the pulls ask for nothing: the raceways, their locknuts and bushings decide it")
	}
	c.note("a box marked with the conductors it takes may be smaller (314.28(A)(3))")
}

// The places over a raceway by short words.
var coverWords = []struct {
	word   Word
	ground raceway.Ground
}{
	{Word{"open", "none of the others"}, raceway.OpenGround},
	{Word{"concrete", "in trench under 2 in of concrete"}, raceway.UnderConcrete},
	{Word{"building", "under a building"}, raceway.UnderBuilding},
	{Word{"slab", "4 in exterior slab, no vehicles, 6 in beyond"}, raceway.UnderSlab},
	{Word{"street", "streets, roads, driveways, parking"}, raceway.UnderStreet},
	{Word{"dwelling-drive", "drives of one and two family dwellings"}, raceway.DwellingDrive},
	{Word{"runway", "airport runways"}, raceway.Runway},
}

var coverMethods = []struct {
	word   Word
	method raceway.Method
}{
	{Word{"direct", "direct buried cable or conductors"}, raceway.DirectBurial},
	{Word{"gfci", "120 V, 20 A or less, with GFCI"}, raceway.ResidentialGFCI},
	{Word{"landscape", "30 V or less, irrigation and landscape lighting"}, raceway.Landscape},
}

func coverChoices() (over, cable []Word) {
	for _, w := range coverWords {
		over = append(over, w.word)
	}
	for _, w := range coverMethods {
		cable = append(cable, w.word)
	}
	return over, cable
}

var coverSum = func() Sum {
	over, cable := coverChoices()
	return Sum{
		Name: "cover", What: "least cover over a buried raceway or cable",
		Inputs: []Input{
			{Name: "kind", Meaning: "kind of raceway", Kind: RacewayKind, Or: "cable", Example: "PVC-40"},
			{Name: "cable", Meaning: "what is buried without a raceway column of its own", Kind: Choice, Choices: cable, Or: "kind"},
			{Name: "over", Meaning: "what lies over it", Kind: Choice, Choices: over, Required: true, Example: "open"},
			{Name: "volts", Meaning: "greatest voltage", Kind: Quantity, Dim: unit.Voltage, Default: "1000 V"},
			{Name: "depth", Meaning: "cover that it has, to its top", Kind: Quantity, Dim: unit.Length, Zero: true, Example: "20 in"},
			editionIn,
		},
		Cautions: []string{
			permission,
			"Dig with a valid ticket; private lines are not on it. Expose by hand before you drive or dig inside a tolerance band.",
		},
		run: coverOf,
	}
}()

func coverOf(c *call) {
	if c.has("kind") && c.has("cable") {
		c.fail("cable", "is given together with kind", "give one of the two")
		return
	}
	var g raceway.Ground
	for _, w := range coverWords {
		if w.word.Name == c.data["over"].word {
			g = w.ground
		}
	}
	v, k := unit.Volt(c.data["volts"].si), c.data["kind"].kind
	inputs := c.in("kind", "cable", "over", "volts", "edition")
	var least unit.Metre
	// The table over its voltage limit is asked first: it knows where it begins.
	_, ref, ok := raceway.CoverHigh(v, raceway.RMC, false)
	switch {
	case ok && c.has("cable"):
		c.fail("cable", fmt.Sprintf("at %s V only raceways are counted here", unit.Trim(float64(v), 0)), "name the kind of raceway, or look up the table: "+ref.String())
		return
	case ok:
		traffic := g == raceway.UnderStreet || g == raceway.DwellingDrive
		if least, ref, ok = raceway.CoverHigh(v, k, traffic); !ok {
			c.fail("kind", fmt.Sprintf("no cover is printed for %s over 1000 V", k), "")
			return
		}
		if !traffic && g != raceway.OpenGround {
			c.note("over 1000 V the open ground column is printed here; other places have columns of their own")
		}
	default:
		m, has := raceway.MethodOf(k, c.data["edition"].n)
		for _, w := range coverMethods {
			if w.word.Name == c.data["cable"].word {
				m, has = w.method, true
			}
		}
		if !has {
			c.fail("kind", fmt.Sprintf("%s has no column in the cover table of %d", k, c.data["edition"].n), "direct burial, RMC, IMC, PVC, RTRC and HDPE have one, and EMT from 2023")
			return
		}
		if least, ref, ok = raceway.Cover(g, m, c.has("kind")); !ok {
			c.fail("over", "has no figure in the table", "")
			return
		}
	}
	r := c.row("least", "least cover, to the top", inches(least), from(ref), inputs...)
	if c.has("depth") {
		have := c.metre("depth")
		c.verdict("holds", "cover of "+c.data["depth"].text, have >= least*(1-1e-9), unit.Inches(least)+" asked", from(ref), append(c.in("depth"), r)...)
	}
	rib, rref := raceway.Ribbon()
	c.row("ribbon", "warning ribbon, above service conductors at least", inches(rib), from(rref))
	c.note("owners, utilities and frost mostly ask for more; rock has its own rule")
	if g == raceway.UnderBuilding {
		c.note("under a building wiring lies in a raceway that reaches past the outside walls")
	}
}

var expansionSum = Sum{
	Name: "expansion", What: "how a run moves with heat, and how its expansion fitting is set",
	Inputs: []Input{
		{Name: "kind", Meaning: "kind of raceway", Kind: RacewayKind, Required: true, Example: "PVC-40"},
		{Name: "aluminum", Meaning: "a metal raceway is of aluminum", Kind: YesNo, Default: "no"},
		{Name: "length", Meaning: "length between fixed points", Kind: Quantity, Dim: unit.Length, Required: true, Example: "90 ft"},
		{Name: "cold", Meaning: "coldest air", Kind: Quantity, Dim: unit.Temperature, Required: true, Example: "-10 F"},
		{Name: "hot", Meaning: "hottest air", Kind: Quantity, Dim: unit.Temperature, Required: true, Example: "110 F"},
		{Name: "sun", Meaning: "the run lies in the sun; the sun's share is then added to the hottest air", Kind: YesNo, Required: true, Example: "no"},
		{Name: "set", Meaning: "temperature of the pipe when the fitting is set", Kind: Quantity, Dim: unit.Temperature, Example: "70 F"},
		{Name: "travel", Meaning: "travel of one fitting, the supplier's figure", Kind: Quantity, Dim: unit.Length, Example: "6 in"},
	},
	Cautions: []string{permission},
	run:      expansion,
}

func expansion(c *call) {
	k := c.data["kind"].kind
	m, ok := raceway.MaterialOf(k, c.data["aluminum"].yes)
	if !ok {
		c.fail("kind", fmt.Sprintf("no thermal coefficient is carried for %s", k), "it is the maker's figure")
		return
	}
	cold, hot := unit.Celsius(c.data["cold"].si), unit.Celsius(c.data["hot"].si)
	inputs := c.in("kind", "aluminum", "length", "cold", "hot", "sun")
	coef, ref, _ := raceway.Coefficient(m)
	fig := []*trace.Value{c.figure("coefficient", fmt.Sprintf("thermal coefficient of %s", m), number{coef, "1/C", unit.Fixed(coef/1.8*100*1200, 2) + " in per 100 ft in 100 F"}, ref)}
	if c.data["sun"].yes {
		sun, sref := raceway.SunAllowance()
		fig = append(fig, c.figure("sun", "added for direct sun", number{float64(sun), "C", unit.Trim(float64(sun)*1.8, 1) + " F"}, sref))
		hot += sun
	}
	if !(hot > cold) {
		c.fail("hot", "is not above the coldest", "give the hottest and the coldest air of the year")
		return
	}
	set := hot
	if c.has("set") {
		if set = unit.Celsius(c.data["set"].si); set < cold || set > hot {
			c.fail("set", fmt.Sprintf("%s lies outside the range of the pipe, %s to %s F", c.data["set"].text, unit.Trim(cold.Fahrenheit(), 0), unit.Trim(hot.Fahrenheit(), 0)), "")
			return
		}
	}
	e, err := raceway.Expand(m, c.metre("length"), cold, hot, set, c.metre("travel"))
	if err != nil && (!e.Needed || c.has("travel")) {
		c.fail("", err.Error(), "")
		return
	}
	trig := c.figure("trigger", "change from which a fitting is asked", hundredths(e.Trigger), e.Cite[1])
	up := append(inputs, fig...)
	h := c.row("range", "pipe from coldest to hottest", number{float64(hot - cold), "C", unit.Trim(float64(hot-cold)*1.8, 1) + " F"}, plain("hottest (with the sun) - coldest"), c.in("cold", "hot", "sun")...)
	ch := c.row("change", "change of length", hundredths(e.Change), by("raceway.expansion.change"), append(up, h)...)
	long, _ := raceway.LongestWithout(m, hot-cold)
	c.row("longest", "longest run without a fitting", feet(long), by("raceway.expansion.longest"), fig[0], trig, h)
	need := "no fitting asked"
	if e.Needed {
		need = "fitting asked"
	}
	c.row("needed", "expansion fitting", number{map[bool]float64{true: 1}[e.Needed], "", need}, from(e.Cite[1]), ch, trig)
	if m == raceway.Steel || m == raceway.Aluminum {
		c.note("300.7(B) gives metal no figure: the trigger of PVC is used")
	}
	if !e.Needed {
		return
	}
	if k.Metal() {
		c.caution("A metal expansion fitting breaks the bond: it takes a bonding jumper unless it is listed without one.")
	}
	if err != nil {
		c.note("give the travel of the fitting, the supplier's figure, to set it")
		return
	}
	n := c.row("fittings", "fittings", count(e.Fittings), plain("change / travel of one, rounded up"), append(c.in("travel"), ch)...)
	if !c.has("set") {
		c.note("give the temperature of the pipe on setting to set it")
		return
	}
	s := by("raceway.expansion.set")
	at := append(c.in("set", "travel"), h, ch, n)
	c.row("grow", "will still grow, when set at that temperature", hundredths(e.ToExpand), s, at...)
	c.row("shrink", "will still shrink", hundredths(e.ToContract), s, at...)
	c.row("open", "leave open for growth, all fittings together", hundredths(e.Open), s, at...)
	c.row("open.each", "leave open for growth, each fitting", hundredths(e.Open/unit.Metre(e.Fittings)), s, at...)
	c.row("between", "anything between holds", number{float64(e.LeastOpen), "m", unit.Fixed(e.LeastOpen.In(), 2) + " to " + unit.Fixed(e.MostOpen.In(), 2) + " in"}, s, at...)
	c.note("one side of a fitting is fixed by a strap, the other slides; ground that settles at a riser is another case")
}
