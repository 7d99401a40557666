package sums

import (
	"fmt"
	"strconv"

	"stubup/base/cite"
	"stubup/base/trace"
	"stubup/base/unit"
	"stubup/trade/conductor"
	"stubup/trade/feeder"
	"stubup/trade/raceway"
)

var metals = []Word{{"copper", "copper"}, {"aluminum", "aluminum or copper-clad aluminum"}}

func materialIn(meaning string) Input {
	return Input{Name: "material", Meaning: meaning, Kind: Choice, Choices: metals, Default: "copper"}
}

var conduits = map[string]feeder.Conduit{"pvc": feeder.InPVC, "aluminum": feeder.InAluminum, "steel": feeder.InSteel}

var currents = map[string]feeder.Current{"single": feeder.SinglePhase, "three": feeder.ThreePhase, "dc": feeder.Direct}

var dropSum = Sum{
	Name: "drop", What: "voltage drop of a run, and how long it may be",
	Inputs: []Input{
		{Name: "size", Meaning: "conductor of one set", Kind: WireSize, Required: true, Example: "10"},
		materialIn("conductor material"),
		{Name: "current", Meaning: "what flows", Kind: Choice, Choices: []Word{{"single", "single phase, out and back"}, {"three", "three phase, balanced, line to line"}, {"dc", "direct current, out and back"}}, Required: true, Example: "three"},
		{Name: "conduit", Meaning: "what it runs in; alternating current needs it", Kind: Choice, Choices: []Word{{"pvc", "nonmetallic"}, {"aluminum", "aluminum"}, {"steel", "steel"}}, Example: "steel"},
		{Name: "volts", Meaning: "voltage of the system", Kind: Quantity, Dim: unit.Voltage, Required: true, Example: "480 V"},
		{Name: "amps", Meaning: "current of the load", Kind: Quantity, Dim: unit.Current, Required: true, Example: "20 A"},
		{Name: "length", Meaning: "one-way length", Kind: Quantity, Dim: unit.Length, Required: true, Example: "200 ft"},
		{Name: "sets", Meaning: "parallel sets", Kind: Count, Default: "1"},
		{Name: "pf", Meaning: "power factor, lagging; alternating current only", Kind: Number, Most: 1, Default: "0.85", Example: "1"},
		{Name: "warm", Meaning: "temperature of the conductor; direct current only", Kind: Quantity, Dim: unit.Temperature, Default: "75 C"},
	},
	Cautions: []string{permission},
	run:      drop,
}

func drop(c *call) {
	cur := currents[c.data["current"].word]
	r := feeder.Run{
		Size: c.data["size"].wire, Material: c.material("material"), Conduit: conduits[c.data["conduit"].word], Current: cur,
		Sets: c.data["sets"].n, Volts: unit.Volt(c.data["volts"].si), Amps: unit.Ampere(c.data["amps"].si), Length: c.metre("length"),
		PF: c.data["pf"].si, Temp: unit.Celsius(c.data["warm"].si),
	}
	kft := func(z float64) number { return number{z, "ohm/m", unit.Trim(z*304.8, 4) + " ohm/1000 ft"} }
	var z *trace.Value
	id := map[feeder.Current]string{feeder.SinglePhase: "feeder.drop.single", feeder.ThreePhase: "feeder.drop.three", feeder.Direct: "feeder.drop.direct"}[cur]
	if cur == feeder.Direct {
		c.unused("conduit", "pf")
		if t := float64(r.Temp); t < -50 || t > 250 {
			c.fail("warm", c.data["warm"].text+" is no temperature of a conductor at work", "")
			return
		}
		p, ok := conductor.Table8(r.Size, false)
		if !ok {
			c.fail("size", fmt.Sprintf("no resistance is carried for %v", r.Size), "")
			return
		}
		at75, name := p.Copper, "copper"
		if r.Material == conductor.Aluminum {
			at75, name = p.Aluminum, "aluminum"
		}
		c.figure("resistance", fmt.Sprintf("resistance of %v %s at 75 C", r.Size, name), kft(at75), p.Cite)
	} else {
		c.unused("warm")
		if !c.has("conduit") {
			c.fail("conduit", "is missing: alternating current needs it", "write pvc, aluminum or steel")
			return
		}
		im, ok := feeder.ImpedanceOf(r.Size, r.Material, r.Conduit)
		if !ok {
			c.fail("size", fmt.Sprintf("no impedance is carried for %v %v in %s", r.Size, r.Material, c.data["conduit"].word), "Table 9 begins at 14 AWG copper and 12 AWG aluminum")
			return
		}
		c.figure("r", fmt.Sprintf("resistance of %v %v in %s, 75 C", r.Size, r.Material, c.data["conduit"].word), kft(im.R), im.Cite)
		c.figure("x", "reactance", kft(im.X), im.Cite)
	}
	d, err := feeder.DropOf(r)
	if err != nil {
		c.fail("", err.Error(), "")
		return
	}
	figs := c.res.Figures
	if cur == feeder.Direct {
		z = c.row("z", "resistance at its temperature", kft(d.Z), trace.By{Equation: by("conductor.temperature").Equation, Cite: d.Cite[0]}, append(c.in("size", "material", "warm"), figs...)...)
	} else {
		z = c.row("z", "effective impedance", kft(d.Z), by("feeder.effective"), append(c.in("size", "material", "conduit", "pf"), figs...)...)
	}
	in := append(c.in("amps", "length", "sets"), z)
	dv := c.row("drop", "voltage drop", volts(d.Volts), by(id), in...)
	sh := c.row("share", "share of the system voltage", number{float64(d.Share), "", unit.Fixed(float64(d.Share)*100, 2) + " %"}, plain("drop / volts"), append(c.in("volts"), dv)...)
	if d.Volts >= r.Volts {
		c.outside(dv, "the drop is the whole voltage: no such load can be run")
	}
	c.row("left", "voltage at the load", volts(max(0, r.Volts-d.Volts)), plain("volts - drop"), append(c.in("volts"), dv)...)
	one, both, ref := feeder.Advice()
	a := c.figure("advice", "drop advised at most for one run", share(one), ref)
	c.figure("advice.both", "and for feeder and branch circuit together", share(both), ref)
	w := "under the advised "
	if d.Share > one {
		w = "over the advised "
	}
	c.row("advised", "against the advice", words(w+unit.Trim(float64(one)*100, 1)+" % (advice, not a demand)"), from(ref), sh, a)
	if d.Share > 0 {
		c.row("longest", "longest run for the advised share", feet(r.Length*unit.Metre(one/d.Share)), plain("length x advised share / share"), append(c.in("length"), sh, a)...)
	}
	if cur != feeder.Direct && c.vals["pf"].Standing == trace.Default {
		c.note("the power factor is the one that Table 9 is printed for")
	}
}

// unused drops inputs that this case does not look at, so that nothing is
// shown as if it had been counted.
func (c *call) unused(names ...string) {
	for _, n := range names {
		v, ok := c.vals[n]
		if !ok {
			continue
		}
		for i, g := range c.res.Given {
			if g == v {
				c.res.Given = append(c.res.Given[:i:i], c.res.Given[i+1:]...)
				break
			}
		}
		delete(c.vals, n)
		if v.Standing == trace.Entered {
			c.note("%s is not counted in this case", n)
		}
	}
}

var columns = []Word{{"60", "60 C"}, {"75", "75 C"}, {"90", "90 C"}}

var ampacitySum = Sum{
	Name: "ampacity", What: "what a conductor may carry where it is hot or crowded",
	Inputs: []Input{
		{Name: "size", Meaning: "conductor", Kind: WireSize, Required: true, Example: "12"},
		materialIn("conductor material"),
		{Name: "column", Meaning: "temperature column of its insulation", Kind: Choice, Choices: columns, Required: true, Example: "90"},
		{Name: "ambient", Meaning: "greatest air temperature round it", Kind: Quantity, Dim: unit.Temperature, Default: "30 C", Example: "45 C"},
		{Name: "count", Meaning: "current-carrying conductors together, over more than 24 in", Kind: Count, Default: "3", Example: "9"},
		{Name: "roof", Meaning: "raceway in the sun on a roof: clearance under it", Kind: Quantity, Dim: unit.Length, Zero: true},
		{Name: "terminals", Meaning: "temperature marked on the terminals; without it 110.14(C) decides", Kind: Choice, Choices: columns[:2]},
		editionIn,
	},
	Cautions: []string{permission},
	run:      ampacity,
}

func ampacity(c *call) {
	w, m := c.data["size"].wire, c.material("material")
	col, _ := strconv.Atoi(c.data["column"].word)
	ed := c.data["edition"].n
	ta := unit.Celsius(c.data["ambient"].si)
	table, ref, ok := conductor.Ampacity(w, m, col)
	if !ok {
		c.fail("size", fmt.Sprintf("no %d C ampacity is printed for %v %v", col, w, m), "the table begins at 14 AWG copper and 12 AWG aluminum (18 AWG in the 90 C column)")
		return
	}
	base := c.figure("table", fmt.Sprintf("ampacity of %v %v, %d C column, 30 C air", w, m, col), amps(table), ref)
	amb := c.in("ambient")
	if c.has("roof") {
		add, rref := raceway.RooftopAdder(c.metre("roof"), ed)
		f := c.figure("roof", "added on a roof in the sun", number{float64(add), "C", unit.Trim(float64(add)*1.8, 1) + " F (" + unit.Trim(float64(add), 1) + " C)"}, rref)
		ta += add
		amb = []*trace.Value{c.row("air", "air temperature that counts", warm(ta), plain("air + what the roof adds"), append(c.in("ambient", "roof", "edition"), f)...)}
	}
	fa, aref, ok := conductor.AmbientFactor(ta, col)
	if !ok {
		c.fail("ambient", fmt.Sprintf("no %d C correction is printed for %s C", col, unit.Trim(float64(ta), 1)), "a higher column, or a cooler place")
		return
	}
	fb, bref := conductor.BundlingFactor(c.data["count"].n)
	fav := c.figure("ambient", "correction for the air", factor(fa, 2), aref)
	fbv := c.figure("bundling", "adjustment for conductors together", factor(fb, 2), bref)
	d, err := conductor.Derate(w, m, col, ta, c.data["count"].n)
	if err != nil {
		c.fail("", err.Error(), "")
		return
	}
	fav.From = amb
	a := c.row("corrected", "ampacity, corrected", number{float64(d.Ampacity), "A", unit.Fixed(float64(d.Ampacity), 2) + " A"}, by("conductor.derate"), append(c.in("size", "material", "column", "count"), base, fav, fbv)...)
	term := conductor.TerminationColumn(d.Ampacity, false)
	tref := cite.Ref{Work: "NFPA 70", Place: "110.14(C)(1)", Seen: cite.FromMemory}
	if c.has("terminals") {
		term, _ = strconv.Atoi(c.data["terminals"].word)
	}
	use := d.Ampacity
	from2 := []*trace.Value{a}
	if lim, lref, ok := conductor.Ampacity(w, m, term); ok {
		f := c.figure("terminals", fmt.Sprintf("ampacity of the size in the %d C column, for the terminals", term), amps(lim), lref)
		f.From = c.in("terminals")
		use = min(use, lim)
		from2 = append(from2, f)
	} else {
		c.note("no %d C ampacity is printed for the size: the terminals were not held to it", term)
	}
	u := c.row("usable", "ampacity that counts", number{float64(use), "A", unit.Fixed(float64(use), 2) + " A"}, trace.By{Equation: "the smaller of corrected and terminals", Cite: tref}, from2...)
	if dev, refs, ok := conductor.LargestOCPD(w, m, use, ed); ok {
		worst := refs[0]
		for _, r := range refs {
			if r.Seen > worst.Seen {
				worst = r
			}
		}
		if s, sref, has := conductor.SmallLimit(w, m); has {
			c.figure("small", fmt.Sprintf("most for %v %v by its size", w, m), amps(s), sref)
		}
		c.row("device", "largest overcurrent device", amps(dev), from(worst), append(c.in("edition"), u)...)
		if use < dev {
			c.note("the next standard rating up is used; not for receptacle branch circuits for more than one cord-and-plug load")
		}
	} else {
		c.note("no standard device is as small as that")
	}
	c.note("continuous loads count 125 percent; an EGC and a neutral that carries only the unbalance are not counted together")
}

var egcSum = Sum{
	Name: "egc", What: "least equipment grounding conductor, grown with its circuit",
	Inputs: []Input{
		{Name: "device", Meaning: "rating of the overcurrent device ahead", Kind: Quantity, Dim: unit.Current, Required: true, Example: "300 A"},
		materialIn("material of the EGC and the circuit"),
		{Name: "needed", Meaning: "size of ungrounded conductor that the load alone needs", Kind: WireSize, Example: "250"},
		{Name: "installed", Meaning: "size of ungrounded conductor that is run", Kind: WireSize, Example: "350"},
	},
	Cautions: []string{permission, "Never open an EGC or a bond on a live system: meter the current in it and the voltage across the gap, jumper first."},
	run:      egc,
}

func egc(c *call) {
	m := c.material("material")
	dev := unit.Ampere(c.data["device"].si)
	w, ref, ok := conductor.EGC(dev, m)
	if !ok {
		c.fail("device", fmt.Sprintf("no EGC is printed for %s", c.data["device"].text), "the table ends at 6000 A")
		return
	}
	for _, p := range [][2]string{{"needed", "installed"}, {"installed", "needed"}} {
		if c.has(p[0]) && !c.has(p[1]) {
			c.fail(p[1], "is missing: "+p[0]+" alone says nothing", "give both, or neither")
			return
		}
	}
	t := c.row("table", "by the table", wireSize(w), from(ref), c.in("device", "material")...)
	if !c.has("needed") {
		return
	}
	a, b := c.data["needed"].wire, c.data["installed"].wire
	u, err := conductor.UpsizeEGC(dev, m, a, b)
	if err != nil {
		c.fail("installed", err.Error(), "")
		return
	}
	k := c.row("ratio", "circuit grown by", factor(u.Ratio, 3), by("conductor.egc.upsize"), c.in("needed", "installed")...)
	if b < a {
		c.outside(k, "the circuit is run smaller than it needs")
	}
	cm := c.row("cmil", "metal that the EGC needs", number{u.CMil * float64(conductor.CircularMil), "m2", unit.Trim(u.CMil, 0) + " cmil"}, by("conductor.egc.upsize"), k, t)
	c.row("size", "EGC", wireSize(u.Size), by("conductor.egc.upsize"), cm)
	if u.CMil > conductor.CircularMils(u.Size)*(1+1e-9) {
		c.note("it need not be larger than the circuit conductors")
	}
	c.note("parallel sets take a full EGC in each raceway; growth only for heat or crowding does not count from 2020")
}

var gecSum = Sum{
	Name: "gec", What: "least grounding electrode conductor and bonding jumper",
	Inputs: []Input{
		{Name: "size", Meaning: "ungrounded conductor of one set", Kind: WireSize, Required: true, Example: "3/0"},
		{Name: "sets", Meaning: "parallel sets", Kind: Count, Default: "1"},
		materialIn("material of the ungrounded conductors"),
		{Name: "of", Meaning: "material of the grounding electrode conductor", Kind: Choice, Choices: metals, Default: "copper"},
		{
			Name: "to", Meaning: "what it ends at as the sole connection", Kind: Choice, Default: "system",
			Choices: []Word{{"system", "several electrodes, water pipe or structure: no cap"}, {"rod", "rods, pipes or plates only"}, {"concrete", "concrete-encased electrode only"}, {"ring", "ground ring only"}},
			Example: "rod",
		},
		{Name: "ring", Meaning: "ring conductor, for a ring larger than the least", Kind: WireSize},
	},
	Cautions: []string{permission, "Lifting the ground of a live service can kill: meter the current in it and the voltage across the gap, jumper first."},
	run:      gec,
}

var gecTo = map[string]conductor.To{"system": conductor.ToSystem, "rod": conductor.ToRod, "concrete": conductor.ToConcrete, "ring": conductor.ToRing}

func gec(c *call) {
	m, of := c.material("material"), c.material("of")
	to := gecTo[c.data["to"].word]
	if to != conductor.ToRing {
		c.unused("ring")
	}
	cmil := conductor.CircularMils(c.data["size"].wire) * float64(c.data["sets"].n)
	set := c.row("set", "metal of one phase", number{cmil * float64(conductor.CircularMil), "m2", unit.Trim(cmil, 0) + " cmil"}, plain("circular mils of the size x sets"), c.in("size", "sets")...)
	// The table itself, without the cap, cites the table.
	tab, err := conductor.GECFor(cmil, m, of, conductor.ToSystem, 0)
	if err != nil {
		c.fail("size", err.Error(), "")
		return
	}
	t := c.row("table", "by the table", wireSize(tab.Size), from(tab.Cite), append(c.in("material", "of"), set)...)
	g, err := conductor.GECFor(cmil, m, of, to, c.data["ring"].wire)
	if err != nil {
		c.fail("to", err.Error(), "")
		return
	}
	c.row("size", "grounding electrode conductor", wireSize(g.Size), from(g.Cite), append(c.in("to", "ring"), t)...)
	if g.Capped {
		c.note("capped: as the sole connection to that electrode it need not be larger")
	}
	if of == conductor.Aluminum {
		c.caution("Aluminum is not run in the earth or within 18 in of it, nor against masonry (250.64(A), from memory).")
	}
	if m == of {
		j, ref, err := conductor.BondingJumper(cmil, m)
		if err != nil {
			c.note("bonding jumper: %v", err)
			return
		}
		b := by("conductor.jumper")
		if j == tab.Size {
			b = from(ref)
		}
		c.row("jumper", "main, system or supply-side bonding jumper", wireSize(j), b, append(c.in("material"), set)...)
		return
	}
	c.note("the bonding jumper is counted where all conductors are of one material")
}
