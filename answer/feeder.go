package answer

import (
	"fmt"
	"math"
	"strings"

	"stubup/base/cite"
	"stubup/base/trace"
	"stubup/base/unit"
	"stubup/plan"
	"stubup/site"
	"stubup/trade/conductor"
	"stubup/trade/feeder"
	"stubup/trade/raceway"
)

// terminals is the temperature column that feeder figures are taken at: 75 C,
// which the terminals must be marked for. It is stated in every trace.
const terminals = 75

// FeederRun returns the run that a feeder goes through, or nil.
func (b *Book) FeederRun(f *site.Feeder) *plan.Run {
	if f.Run == "" {
		return nil
	}
	return b.Plan.RunByID(f.Run)
}

func metal(f *site.Feeder) conductor.Material {
	if f.Aluminum {
		return conductor.Aluminum
	}
	return conductor.Copper
}

func feederPath(f *site.Feeder, what string) string {
	return "feeders." + strings.ReplaceAll(f.ID, " ", "-") + "." + what
}

// edition is the year of the adopted edition of NFPA 70; the figures of the
// newest one known here where none is written.
func (b *Book) edition() int {
	for _, w := range b.Plan.Site.Adopted {
		if y, _, ok := unit.Whole(w.Edition); ok && w.ID == "nfpa-70" {
			return y
		}
	}
	return newestEdition
}

// newestEdition is the newest edition of NFPA 70 whose figures are carried.
const newestEdition = 2023

// Edition returns the year of NFPA 70 that the answers are computed by.
func (b *Book) Edition() int { return b.edition() }

// FeederLength returns the one-way length of a feeder: as written, or that of
// its run.
func (b *Book) FeederLength(f *site.Feeder) Answer {
	path := feederPath(f, "length")
	return memo(b, path, func() Answer {
		if f.Length.Set {
			return b.keep(input(path, f.ID+": length, one way", float64(f.Length.SI), "m", f.Length.Text))
		}
		r := b.FeederRun(f)
		switch {
		case r == nil:
			return cannot("the length of feeder " + f.ID + ", or the run it goes through")
		case !r.OK:
			return cannot("the length of run " + r.ID + ", which could not be drawn")
		}
		return b.keep(input(path, f.ID+": length of run "+r.ID, float64(r.Length), "m", b.Plan.Site.Units.Run(r.Length)))
	})
}

// DropAnswer is the voltage drop of a feeder as a share of its voltage.
type DropAnswer struct {
	Answer
	Volts unit.Volt
}

// Drop returns the voltage drop of a feeder:
//
//	share = 2 Z I L / V single-phase, sqrt(3) Z I L / V three-phase
//
// Z the effective impedance at power factor 0.85, ohm/m, in the kind of
// conduit that the run is; I the load, A; L one way, m; V line to line.
func (b *Book) Drop(f *site.Feeder) DropAnswer {
	path := feederPath(f, "drop")
	return memo(b, path, func() DropAnswer {
		lack := func(what string) DropAnswer { return DropAnswer{Answer: cannot(what + " of feeder " + f.ID)} }
		switch {
		case f.Size == 0:
			return lack("the conductor size")
		case !f.Amps.Set:
			return lack("the load")
		case !f.Volts.Set:
			return lack("the voltage")
		case f.Phases != 1 && f.Phases != 3:
			return lack("the phases, 1 or 3,")
		}
		l := b.FeederLength(f)
		if !l.OK() {
			return DropAnswer{Answer: l}
		}
		r := b.FeederRun(f)
		if r == nil {
			return lack("the run, whose kind of raceway decides the impedance,")
		}
		in := b.conduit(f)
		cur, k, id := feeder.SinglePhase, "2", "feeder.drop.single"
		if f.Phases == 3 {
			cur, k, id = feeder.ThreePhase, "1.732", "feeder.drop.three"
		}
		d, err := feeder.DropOf(feeder.Run{Size: f.Size, Material: metal(f), Conduit: in, Current: cur, Sets: f.Sets, Volts: f.Volts.SI, Amps: f.Amps.SI, Length: unit.Metre(l.Value.SI)})
		if err != nil {
			return DropAnswer{Answer: cannot("the impedance of feeder " + f.ID + ": " + err.Error())}
		}
		z := trace.Input(path+".z", fmt.Sprintf("effective impedance of %s %s in %s conduit, power factor 0.85", f.Size, metal(f), in), d.Z, "ohm/m", unit.Figures(d.Z*304.8, 3)+" ohm/1000 ft", trace.Default, refs(d.Cite...))
		v := trace.Derive(path, f.ID+": voltage drop", float64(d.Share), "", unit.Fixed(float64(d.Share)*100, 2)+" %",
			trace.By{ID: id, Equation: "share = k Z I L / V", Put: fmt.Sprintf("share = %s x %s x %s x %s / %s = %s V / %s", k, z.Text, f.Amps.Text, l.Value.Text, f.Volts.Text, unit.Fixed(float64(d.Volts), 2), f.Volts.Text), Cite: refs(d.Cite...)},
			z, l.Value, input(path+".amps", f.ID+": load", float64(f.Amps.SI), "A", f.Amps.Text), input(path+".volts", f.ID+": voltage", float64(f.Volts.SI), "V", f.Volts.Text))
		return DropAnswer{b.keep(v), d.Volts}
	})
}

// OCPD returns the largest overcurrent device that may protect the conductors
// of a feeder where they lie.
func (b *Book) OCPD(f *site.Feeder) Answer {
	path := feederPath(f, "ocpd")
	return memo(b, path, func() Answer {
		if f.Size == 0 {
			return cannot("the conductor size of feeder " + f.ID)
		}
		// At the terminals as they are, and in the heat and company where it
		// lies; 75 C terminals, 30 C and three conductors where nobody said.
		column := f.Terminals
		if column == 0 {
			column = terminals
		}
		place, _, missing := b.feederPlace(f)
		if missing != "" {
			place.Ambient, place.Carrying, place.Column = tableAmbient, 3, column
		}
		amp, ca, ok := conductor.Ampacity(f.Size, metal(f), min(column, place.Column))
		d, err := conductor.Derate(f.Size, metal(f), place.Column, place.Ambient, place.Carrying)
		if !ok || err != nil {
			return cannot(fmt.Sprintf("a printed ampacity of %s %s, feeder %s", f.Size, metal(f), f.ID))
		}
		sets := unit.Ampere(max(1, f.Sets))
		how := fmt.Sprintf("%d C terminals", min(column, place.Column))
		if d.Ampacity < amp {
			amp = d.Ampacity
			how = fmt.Sprintf("%d C insulation x %s x %s for heat and company", place.Column, unit.Trim(d.Ambient, 2), unit.Trim(d.Bundling, 2))
			ca = refs(d.Cite...)
		}
		amp *= sets
		dev, cs, ok := conductor.LargestOCPD(f.Size, metal(f), amp, b.edition())
		if !ok {
			return cannot("a standard device for feeder " + f.ID)
		}
		size := input(path+".size", f.ID+": conductors", conductor.CircularMils(f.Size)*float64(sets), "cmil", sizeWords(f.Size, f))
		a := trace.Derive(path+".ampacity", fmt.Sprintf("%s: ampacity, %s", f.ID, how), float64(amp), "A", amperes(amp), trace.By{ID: "table 310.16", Cite: ca}, size)
		return b.keep(trace.Derive(path, f.ID+": largest overcurrent device", float64(dev), "A", unit.Trim(float64(dev), 0)+" A",
			trace.By{ID: "table 240.6(A)", Equation: "the next standard rating, not over the limits of 240.4", Put: a.Text + " gives " + unit.Trim(float64(dev), 0) + " A", Cite: refs(cs...)}, a))
	})
}

// SizeAnswer is a conductor size.
type SizeAnswer struct {
	Answer
	Size unit.Wire
	Note string
}

// needed returns the smallest size that the device of a feeder may protect
// and that carries its load. Where no load is said it carries the device's
// rating, so that a conductor of full rating is never called oversized.
func (b *Book) needed(f *site.Feeder, device unit.Ampere) unit.Wire {
	for _, w := range unit.Wires() {
		amp, _, ok := conductor.Ampacity(w, metal(f), terminals)
		if !ok || amp < f.Amps.Or(device) {
			continue
		}
		if dev, _, ok := conductor.LargestOCPD(w, metal(f), amp, b.edition()); ok && dev >= device {
			return w
		}
	}
	return f.Size
}

// EGC returns the least equipment grounding conductor of a feeder, grown with
// conductors that are larger than its device asks:
//
//	cmil = cmil(table) cmil(run) / cmil(needed)
func (b *Book) EGC(f *site.Feeder) SizeAnswer {
	path := feederPath(f, "egc")
	return memo(b, path, func() SizeAnswer {
		if !f.OCPD.Set {
			return SizeAnswer{Answer: cannot("the rating of the overcurrent device of feeder " + f.ID)}
		}
		dev := input(path+".device", f.ID+": overcurrent device", float64(f.OCPD.SI), "A", f.OCPD.Text)
		w, c, ok := conductor.EGC(f.OCPD.SI, metal(f))
		if !ok {
			return SizeAnswer{Answer: cannot(fmt.Sprintf("a printed EGC for a %s device, feeder %s", f.OCPD.Text, f.ID))}
		}
		if f.Size == 0 {
			v := trace.Derive(path, f.ID+": least EGC", conductor.CircularMils(w), "cmil", w.String()+" "+metal(f).String(), trace.By{ID: "table 250.122", Put: f.OCPD.Text + " gives " + w.String(), Cite: c}, dev)
			return SizeAnswer{b.keep(v), w, "it grows with the ungrounded conductors where these are larger than the device asks"}
		}
		need := b.needed(f, f.OCPD.SI)
		up, err := conductor.UpsizeEGC(f.OCPD.SI, metal(f), need, f.Size)
		if err != nil {
			return SizeAnswer{Answer: cannot("the EGC of feeder " + f.ID + ": " + err.Error())}
		}
		size := input(path+".size", f.ID+": conductors", conductor.CircularMils(f.Size), "cmil", f.Size.String())
		put := f.OCPD.Text + " gives " + up.Base.String()
		note := ""
		if up.Ratio > 1 && up.Size != up.Base {
			put += fmt.Sprintf("; %s where %s would do: x %s", f.Size, need, unit.Figures(up.Ratio, 3))
			note = fmt.Sprintf("grown from %s because the conductors are larger than the device asks", up.Base)
		}
		v := trace.Derive(path, f.ID+": least EGC", conductor.CircularMils(up.Size), "cmil", up.Size.String()+" "+metal(f).String(),
			trace.By{ID: "conductor.egc.upsize", Equation: "cmil = cmil(table) cmil(run) / cmil(needed)", Put: put, Cite: refs(up.Cite, c)}, dev, size)
		return SizeAnswer{b.keep(v), up.Size, note}
	})
}

// GEC returns the least grounding electrode conductor for the conductors of a
// feeder where they leave a service or a separately derived source, its only
// tie being to the ring.
func (b *Book) GEC(f *site.Feeder) SizeAnswer {
	path := feederPath(f, "gec")
	return memo(b, path, func() SizeAnswer {
		if f.Size == 0 {
			return SizeAnswer{Answer: cannot("the conductor size of feeder " + f.ID)}
		}
		to, ring := conductor.ToSystem, unit.Wire(0)
		if b.Plan.Ring != nil {
			to, ring = conductor.ToRing, b.Plan.Wire().Size
		}
		g, err := conductor.GECFor(conductor.CircularMils(f.Size), metal(f), conductor.Copper, to, ring)
		if err != nil {
			return SizeAnswer{Answer: cannot("the GEC of feeder " + f.ID + ": " + err.Error())}
		}
		size := input(path+".size", f.ID+": conductors", conductor.CircularMils(f.Size), "cmil", f.Size.String()+" "+metal(f).String())
		note, put := "", f.Size.String()+" "+metal(f).String()+" gives "+g.Table.String()
		if g.Capped {
			note = "its only tie is to the ring: it need not be larger than the ring conductor"
			put += ", need not be over " + g.Size.String() + " to the ring"
		}
		v := trace.Derive(path, f.ID+": least GEC", conductor.CircularMils(g.Size), "cmil", g.Size.String()+" copper", trace.By{ID: "table 250.66", Put: put, Cite: g.Cite}, size)
		return SizeAnswer{b.keep(v), g.Size, note}
	})
}

// SystemJumper returns the least system bonding jumper for the conductors of a
// feeder that leave a separately derived source.
func (b *Book) SystemJumper(f *site.Feeder) SizeAnswer {
	path := feederPath(f, "system-bonding-jumper")
	return memo(b, path, func() SizeAnswer {
		if f.Size == 0 {
			return SizeAnswer{Answer: cannot("the conductor size of feeder " + f.ID)}
		}
		w, c, err := conductor.BondingJumper(conductor.CircularMils(f.Size), metal(f))
		if err != nil {
			return SizeAnswer{Answer: cannot("the system bonding jumper of feeder " + f.ID + ": " + err.Error())}
		}
		size := input(path+".size", f.ID+": conductors", conductor.CircularMils(f.Size), "cmil", f.Size.String())
		v := trace.Derive(path, f.ID+": least system bonding jumper", conductor.CircularMils(w), "cmil", w.String(), trace.By{ID: "table 250.102(C)(1)", Put: f.Size.String() + " gives " + w.String(), Cite: c}, size)
		return SizeAnswer{Answer: b.keep(v), Size: w}
	})
}

// TransferAnswer is what the transfer switch makes of the generator.
type TransferAnswer struct {
	feeder.Finding
	Asked   bool           // the document has a transfer switch
	Neutral feeder.Neutral // as somebody looked at the switch
	Found   feeder.Answer  // neutral-frame bond as found
	Left    feeder.Answer  // ... as left
}

// Transfer judges the generator by what its switch does to the neutral; the
// pole count alone never answers that.
func (b *Book) Transfer() TransferAnswer {
	return memo(b, "transfer", func() TransferAnswer {
		t := b.Plan.Site.Transfer
		if t == nil {
			return TransferAnswer{}
		}
		out := TransferAnswer{Asked: true, Found: bondWords(t.BondFound), Left: bondWords(t.BondLeft)}
		switch strings.ToLower(strings.TrimSpace(t.OpensNeutral)) {
		case "yes":
			out.Neutral = feeder.NeutralSwitched
		case "no":
			out.Neutral = feeder.NeutralSolid
		}
		sys, err := feeder.ParseSystem(strings.TrimSpace(strings.TrimSuffix(t.System, "3-wire")))
		if err != nil && t.System != "" {
			sys = feeder.System{}
		}
		out.Finding = feeder.Judge(feeder.Transfer{System: sys, Neutral: out.Neutral, Poles: t.Poles, Bonded: out.Found, Portable: t.Portable})
		return out
	})
}

// bondWords reads what was written about a neutral-frame bond.
func bondWords(s string) feeder.Answer {
	t := strings.ToLower(strings.TrimSpace(s))
	no := false
	for _, w := range strings.FieldsFunc(t, func(r rune) bool { return r < 'a' || r > 'z' }) {
		switch w {
		case "no", "not", "none", "removed", "open", "opened", "unbonded", "without":
			no = true
		case "unknown", "tell":
			return feeder.CannotTell
		}
	}
	for _, w := range []string{"not removed", "not opened", "not open", "not taken"} {
		if strings.Contains(t, w) { // what was not taken out is still there
			return feeder.Yes
		}
	}
	switch {
	case t == "":
		return ""
	case no:
		return feeder.No
	case t == "yes", strings.Contains(t, "bond"), strings.Contains(t, "set"), strings.Contains(t, "place"), strings.Contains(t, "jumper"):
		return feeder.Yes
	}
	return feeder.CannotTell
}

// BendFactor returns by how much one bend multiplies the pulling tension that
// enters it, the weight of the cable left out:
//
//	T2 / T1 = e^(mu a)
//
// mu the coefficient of friction; a the angle, rad. Source: capstan equation.
func BendFactor(mu float64, a unit.Degree) float64 {
	return math.Exp(mu * float64(a) * math.Pi / 180)
}

// capstan is the citation of BendFactor.
var capstan = cite.Ref{Work: "capstan equation", Place: "rope on a fixed drum", Seen: cite.Derived}

// BendCost returns what the bends of one section cost in tension, as a factor
// on the tension that enters, at a stated friction.
func (b *Book) BendCost(r *plan.Run, section int, mu float64) Answer {
	path := fmt.Sprintf("%s[%d].bend-cost.%s", runPath(r, "section"), section+1, unit.Trim(mu, 3))
	return memo(b, path, func() Answer {
		sum := b.BendSum(r, section)
		if !sum.OK() {
			return sum
		}
		k := BendFactor(mu, unit.Degree(sum.Value.SI))
		f := trace.Input(path+".friction", "coefficient of friction", mu, "", unit.Trim(mu, 3), trace.Default, cite.Practice)
		return b.keep(trace.Derive(path, fmt.Sprintf("%s, %s: tension out of the bends over tension in", r.ID, r.Sections[section].Name()), k, "", "x "+unit.Fixed(k, 2),
			trace.By{ID: "run.bend-cost", Equation: "T2 / T1 = e^(mu a)", Put: fmt.Sprintf("e^(%s x %s deg x pi / 180)", f.Text, unit.Trim(sum.Value.SI, 1)), Cite: capstan}, sum.Value, f))
	})
}

// PullPlace is a place in a straight where a pull point would cut a section.
type PullPlace struct {
	Station  unit.Metre
	Straight unit.Metre  // length of the straight that it is in the middle of
	Before   unit.Degree // of the section up to it
	After    unit.Degree // of the section from it
	Fits     bool        // both sides within the limit
}

// Middles returns the middles of the straights of a section that are kept and
// not laid yet, in order along the run, with what a pull point there leaves on
// either side. A box in what is laid would mean taking pipe out; a straight
// between the bends of an offset or a saddle is no place for one.
func Middles(r *plan.Run, section int, limit unit.Degree, keep func(i int, q plan.Piece) bool) []PullPlace {
	s := r.Sections[section]
	var out []PullPlace
	var before unit.Degree
	for i, q := range s.Pieces {
		if q.Arc {
			before += q.Angle
			continue
		}
		if q.Part != "" || q.Station+q.Length/2 < r.Laid || !keep(i, q) {
			continue
		}
		after := s.Degrees - before
		out = append(out, PullPlace{Station: q.Station + q.Length/2, Straight: q.Length, Before: before, After: after, Fits: before <= limit+1e-9 && after <= limit+1e-9})
	}
	return out
}

// PullPlaces proposes the middles of the straights of a section where a pull
// point would leave the least on its worse side, at most n of them, in order
// along the run. Straights shorter than the box and those at the ends are not
// offered.
func (b *Book) PullPlaces(r *plan.Run, section, n int, limit unit.Degree) []PullPlace {
	least, _ := raceway.StraightPull(r.Trade)
	last := len(r.Sections[section].Pieces) - 1
	all := Middles(r, section, limit, func(i int, q plan.Piece) bool { return q.Length >= least && i > 0 && i < last })
	for len(all) > n {
		worst := 0
		for i, p := range all {
			if max(p.Before, p.After) >= max(all[worst].Before, all[worst].After) {
				worst = i
			}
		}
		all = append(all[:worst], all[worst+1:]...)
	}
	return all
}
