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

// tableAmbient is the temperature that the ampacity table is printed for: what
// is used where nobody says how warm it gets, and it is said so.
const tableAmbient = unit.Celsius(30)

// Sizing is what a feeder's load asks, beside what is there.
type Sizing struct {
	Answer
	feeder.Sized
	Place feeder.Place
	Say   []string // what was taken because nobody said, and what else bears on it
	// Marked is the least size where both ends are marked for 75 C; 0 where
	// somebody has looked.
	Marked unit.Wire
}

// feederPlace returns where a feeder's conductors lie; what is not said is
// listed.
func (b *Book) feederPlace(f *site.Feeder) (feeder.Place, []string, string) {
	p := feeder.Place{Material: metal(f), Edition: b.edition(), Terminals: f.Terminals, Ambient: tableAmbient, Carrying: 3, Column: terminals}
	var say []string
	r := b.FeederRun(f)
	if r == nil {
		return p, nil, "the run of feeder " + f.ID + ", whose conductors and place decide"
	}
	wet := false
	for _, q := range r.Pieces {
		wet = wet || buried(q.Where) || q.Where == "roof" || q.Where == "wall" || q.Where == "air"
	}
	n, letters := 0, ""
	for _, c := range r.Carries {
		if c.EGC || c.Size == 0 || strings.EqualFold(c.Insulation, "bare") {
			continue
		}
		n += max(1, c.Count)
		col, _, ok := conductor.InsulationColumn(strings.ToUpper(c.Insulation), wet)
		if !ok {
			return p, nil, fmt.Sprintf("a temperature for %s where it is wet, in run %s: insulation for wet places", c.Insulation, r.ID)
		}
		if letters == "" || col < p.Column {
			p.Column, letters = col, c.Insulation
		}
	}
	switch {
	case n == 0:
		return p, nil, "the conductors of feeder " + f.ID + " in run " + r.ID
	case f.Phases == 1 && n == 3:
		// The neutral of a three-wire single-phase feeder carries the unbalance alone.
		p.Carrying = 2
	default:
		p.Carrying = n
	}
	if r.Length <= nipple() && n > 3 {
		p.Carrying = 3
		say = append(say, "a nipple: no adjustment for the number of conductors")
	}
	switch {
	case f.Ambient.Set:
		p.Ambient = f.Ambient.SI
	case r.Hot.Set:
		p.Ambient = r.Hot.SI
		say = append(say, "the run's hottest air, "+r.Hot.Text+", taken as the ambient")
	default:
		say = append(say, "the ambient is not said: the table's "+b.temperature(tableAmbient)+" was taken")
	}
	add, clear := unit.Celsius(0), ""
	for _, q := range r.Pieces {
		if q.Where == "roof" && q.Sun && q.Clear.Set {
			if a, _ := raceway.RooftopAdder(q.Clear.SI, p.Edition); a > add {
				add, clear = a, q.Clear.Text
			}
		}
	}
	if add > 0 {
		p.Ambient += add
		say = append(say, fmt.Sprintf("%s over a roof in the sun adds %s", clear, b.rise(add)))
	}
	if f.Terminals == 0 {
		say = append(say, "the terminals' marking is not said: 60 C up to 100 A, 75 C above")
	}
	return p, say, ""
}

func nipple() unit.Metre {
	l, _ := conductor.NippleLength()
	return l
}

// rise prints a difference of temperature.
func (b *Book) rise(c unit.Celsius) string {
	if b.Plan.Site.Units == unit.SI {
		return unit.Trim(float64(c), 0) + " C"
	}
	return unit.Trim(float64(c)*1.8, 0) + " F"
}

// FeederSize returns the least conductors and the device that a feeder's load
// asks where it lies.
func (b *Book) FeederSize(f *site.Feeder) Sizing {
	path := feederPath(f, "least-size")
	return memo(b, path, func() Sizing {
		if !f.Amps.Set {
			return Sizing{Answer: cannot("the load of feeder " + f.ID)}
		}
		place, say, missing := b.feederPlace(f)
		if missing != "" {
			return Sizing{Answer: cannot(missing)}
		}
		load := feeder.Load{Continuous: f.Continuous.Or(0), Other: f.Amps.SI - f.Continuous.Or(0)}
		if !f.Continuous.Set {
			say = append(say, "nothing is said to go on for three hours: none of the load counts as continuous")
		}
		for _, m := range f.Motors {
			load.Motors = append(load.Motors, feeder.Motor{Amps: m.Amps.Or(0), Device: m.OCPD.Or(0)})
			load.Other -= m.Amps.Or(0)
		}
		ask := feeder.Ask{Load: load, Place: place, Sets: f.Sets, Device: f.OCPD.Or(0), Limit: f.DropLimit.Or(0)}
		if f.Nameplate.Set {
			var c cite.Ref
			ask.Source, c = feeder.GeneratorConductor(f.Nameplate.SI, f.NoOverload)
			say = append(say, fmt.Sprintf("the generator's nameplate asks for %s (%s)", amperes(ask.Source), c.Full()))
		}
		if l := b.FeederLength(f); l.OK() && f.Volts.Set {
			ask.Length, ask.Volts, ask.Conduit, ask.Current = unit.Metre(l.Value.SI), f.Volts.SI, b.conduit(f), feeder.SinglePhase
			if f.Phases == 3 {
				ask.Current = feeder.ThreePhase
			}
		}
		s, err := feeder.Size(ask)
		if err != nil {
			return Sizing{Answer: cannot("the size of feeder " + f.ID + ": " + err.Error()), Place: place, Say: say}
		}
		var marked unit.Wire
		if f.Terminals == 0 {
			ask.Place.Terminals = terminals
			if m, err := feeder.Size(ask); err == nil {
				marked = m.Needed
			}
		}
		v := trace.Derive(path, f.ID+": least conductors", conductor.CircularMils(s.Size), "cmil", sizeWords(s.Size, f),
			trace.By{
				ID: "feeder.conductor", Equation: "I = 1.25 Ic + Io + 1.25 Imax + sum of the other motors",
				Put:  fmt.Sprintf("%s at %d C terminals and %s running after %s x %s; decided by %s", amperes(s.Least), s.Terminals, amperes(s.Running), unit.Trim(s.Derating.Ambient, 2), unit.Trim(s.Derating.Bundling, 2), s.Why),
				Cite: refs(s.Cite...),
			}, input(path+".amps", f.ID+": load", float64(f.Amps.SI), "A", f.Amps.Text))
		return Sizing{Answer: b.keep(v), Sized: s, Place: place, Say: say, Marked: marked}
	})
}

func sizeWords(w unit.Wire, f *site.Feeder) string {
	s := w.String() + " " + metal(f).String()
	if f.Sets > 1 {
		s = fmt.Sprintf("%d x %s", f.Sets, s)
	}
	return s
}

func amperes(i unit.Ampere) string { return unit.Trim(float64(i), 1) + " A" }

func (b *Book) conduit(f *site.Feeder) feeder.Conduit {
	if r := b.FeederRun(f); r != nil && r.Kind.Metal() {
		return feeder.InSteel
	}
	return feeder.InPVC
}

// Room is what a raceway has left for the next cable.
type Room struct {
	Answer            // area left under the fill limit with one more in it
	Next   unit.Metre // the largest outside diameter of one more cable; 0 for none
}

// RoomLeft returns the area that a run's fill limit leaves for one more cable,
// and how thick that may be:
//
//	d = sqrt(4 (s A - sum a) / pi)
//
// s the share for one more than is there, A the inside area, a the areas that
// are there. An empty raceway is a spare: it has room for one cable of 53 %.
func (b *Book) RoomLeft(r *plan.Run) Room {
	path := runPath(r, "room")
	return memo(b, path, func() Room {
		if r.Trade == 0 {
			return Room{Answer: cannot("the trade size of run " + r.ID)}
		}
		var set []raceway.Filler
		if len(r.Carries) > 0 {
			var missing string
			if set, missing = Fillers(r); missing != "" {
				return Room{Answer: cannot(missing)}
			}
		}
		d, ok := raceway.Dim(r.Kind, r.Trade)
		if !ok {
			return Room{Answer: cannot(fmt.Sprintf("the inside of %s %s", r.Kind, r.Trade))}
		}
		n, used := 1, conductor.Area(0)
		for _, f := range set {
			n += f.Count
			used += conductor.Area(float64(f.Count)) * f.Each()
		}
		share, c := raceway.FillShare(n, r.Length <= nipple())
		left := float64(share)*float64(d.Area) - float64(used)
		room := Room{}
		if left > 0 {
			room.Next = unit.Metre(math.Sqrt(4 * left / math.Pi))
		}
		text := squareInches(conductor.Area(max(left, 0)))
		room.Answer = b.keep(trace.Derive(path, r.ID+": area left for one more cable", max(left, 0), "m2", text,
			trace.By{ID: "raceway.room", Equation: "left = s A - sum a", Put: fmt.Sprintf("%s of %s less %s, %d in it then", percent(float64(share)), squareInches(d.Area), squareInches(used), n), Cite: refs(c, d.Cite)},
			input(runPath(r, "trade"), r.ID+": raceway", float64(d.ID), "m", string(r.Kind)+" "+r.Trade.String())))
		return room
	})
}
