// Package feeder holds what a feeder from a service or a generator needs: its
// voltage drop, its overcurrent device and grounding conductors, the room in
// front of its equipment, and what a transfer switch makes of a generator.
//
// It gives quantities and citations, not permission: local code, the authority
// having jurisdiction and a licensed person decide. The utility side is live
// with the main off, and a generator's auto-start is locked out before anybody
// works on it.
package feeder

import (
	"fmt"
	"math"
	"slices"

	"stubup/base/cite"
	"stubup/base/unit"
	"stubup/trade/conductor"
)

// Conduit says what a conductor runs in, as the impedance table knows it.
type Conduit string

// The conduits of Table 9.
const (
	InPVC      Conduit = "pvc"
	InAluminum Conduit = "al"
	InSteel    Conduit = "steel"
)

const perKft = 1.0 / 304.8 // ohm/1000 ft in ohm/m

// Impedance is the resistance and reactance to neutral of a conductor in a
// conduit at 75 C and 60 Hz, ohm/m.
type Impedance struct {
	R, X float64
	Cite cite.Ref
}

// ImpedanceOf returns the printed impedance; ok is false where none is.
func ImpedanceOf(w unit.Wire, m conductor.Material, c Conduit) (Impedance, bool) {
	t := impedance()
	metal := "cu_"
	if m == conductor.Aluminum {
		metal = "al_"
	}
	xcol := "x_pvc_al"
	if c == InSteel {
		xcol = "x_steel"
	}
	r, ok1 := t.Num(w.Name(), metal+string(c))
	x, ok2 := t.Num(w.Name(), xcol)
	return Impedance{R: r * perKft, X: x * perKft, Cite: t.Cite}, ok1 && ok2
}

// Effective returns the effective impedance at a power factor, in the unit of
// r and x:
//
//	Z = R cos(theta) + X sin(theta)
//
// with cos(theta) the power factor, lagging. Source: NFPA 70 Chapter 9 Table 9
// note 2.
func Effective(r, x, pf float64) float64 { return r*pf + x*math.Sqrt(1-pf*pf) }

// Effective85 returns the printed effective impedance at power factor 0.85,
// ohm/m.
func Effective85(w unit.Wire, m conductor.Material, c Conduit) (float64, cite.Ref, bool) {
	t := impedance85()
	metal := "cu_"
	if m == conductor.Aluminum {
		metal = "al_"
	}
	v, ok := t.Num(w.Name(), metal+string(c))
	return v * perKft, t.Cite, ok
}

// ThreePhaseDrop returns the line-to-line drop of a three-phase run:
//
//	dV = sqrt(3) Z I L
//
// Z the effective impedance to neutral, ohm/m; I the current, A; L the one-way
// length, m.
func ThreePhaseDrop(z float64, i unit.Ampere, l unit.Metre) unit.Volt {
	return unit.Volt(math.Sqrt(3) * z * float64(i) * float64(l))
}

// SinglePhaseDrop returns the drop between the two conductors of a
// single-phase run, out and back:
//
//	dV = 2 Z I L
//
// Z the effective impedance of one conductor, ohm/m; I the current, A; L the
// one-way length, m.
func SinglePhaseDrop(z float64, i unit.Ampere, l unit.Metre) unit.Volt {
	return unit.Volt(2 * z * float64(i) * float64(l))
}

// DCDrop returns the drop of a direct-current run, out and back:
//
//	dV = 2 R I L
//
// R the resistance of one conductor at its temperature, ohm/m; I the current,
// A; L the one-way length, m.
func DCDrop(r float64, i unit.Ampere, l unit.Metre) unit.Volt { return SinglePhaseDrop(r, i, l) }

// LongestThreePhase returns the one-way length at which a three-phase run
// drops dv:
//
//	L = dV / (sqrt(3) Z I)
func LongestThreePhase(z float64, i unit.Ampere, dv unit.Volt) unit.Metre {
	return unit.Metre(float64(dv) / (math.Sqrt(3) * z * float64(i)))
}

// Current says what flows in a run.
type Current uint8

// The kinds of run.
const (
	SinglePhase Current = iota
	ThreePhase
	Direct
)

// Run is a feeder as far as its drop is concerned.
type Run struct {
	Size     unit.Wire
	Material conductor.Material
	Conduit  Conduit
	Current  Current
	Sets     int // parallel sets; zero is one
	Volts    unit.Volt
	Amps     unit.Ampere
	Length   unit.Metre   // one way
	PF       float64      // alternating current only; zero is 0.85
	Temp     unit.Celsius // direct current only; zero is 75
}

// Drop is a voltage drop with its figures.
type Drop struct {
	Z     float64 // ohm/m of one set
	Volts unit.Volt
	Share unit.Ratio
	Cite  []cite.Ref
}

// DropOf returns the voltage drop of a run by Table 9 for alternating current
// and by the direct-current resistance of Table 8 otherwise. The code advises
// a share (Advice), it does not demand one.
func DropOf(r Run) (Drop, error) {
	if !(r.Volts > 0) || !(r.Amps >= 0) || !(r.Length >= 0) {
		return Drop{}, fmt.Errorf("volts, amperes and a length are needed")
	}
	if r.PF < 0 || r.PF > 1 {
		return Drop{}, fmt.Errorf("a power factor lies between 0 and 1")
	}
	i := r.Amps / unit.Ampere(max(1, r.Sets))
	var d Drop
	if r.Current == Direct {
		t := r.Temp
		if t == 0 {
			v, _ := figure("drop.temperature")
			t = unit.Celsius(v)
		}
		z, c, ok := conductor.DCResistance(r.Size, r.Material, false, t)
		if !ok {
			return Drop{}, fmt.Errorf("no resistance is carried for %v %v", r.Size, r.Material)
		}
		d = Drop{Z: z, Volts: DCDrop(z, i, r.Length), Cite: []cite.Ref{c}}
	} else {
		pf := r.PF
		if pf == 0 {
			pf, _ = figure("drop.pf")
		}
		im, ok := ImpedanceOf(r.Size, r.Material, r.Conduit)
		if !ok {
			return Drop{}, fmt.Errorf("no impedance is carried for %v %v in %s", r.Size, r.Material, r.Conduit)
		}
		z := Effective(im.R, im.X, pf)
		d = Drop{Z: z, Cite: []cite.Ref{im.Cite}}
		if r.Current == ThreePhase {
			d.Volts = ThreePhaseDrop(z, i, r.Length)
		} else {
			d.Volts = SinglePhaseDrop(z, i, r.Length)
		}
	}
	d.Share = unit.Ratio(d.Volts / r.Volts)
	return d, nil
}

// Advice returns the shares of voltage drop that the code's notes recommend,
// for a branch circuit or feeder alone and for both together.
func Advice() (one, both unit.Ratio, c cite.Ref) {
	a, c := figure("drop.advice.branch")
	b, _ := figure("drop.advice.total")
	return unit.Ratio(a), unit.Ratio(b), c
}

// ThreePhaseAmps returns the line current of a three-phase apparent power:
//
//	I = S / (sqrt(3) V)
//
// S in volt-amperes; V line to line.
func ThreePhaseAmps(va float64, v unit.Volt) unit.Ampere {
	return unit.Ampere(va / (math.Sqrt(3) * float64(v)))
}

// SinglePhaseAmps returns the current of a single-phase apparent power:
//
//	I = S / V
func SinglePhaseAmps(va float64, v unit.Volt) unit.Ampere { return unit.Ampere(va / float64(v)) }

// GeneratorConductor returns the least ampacity of the conductors from a
// generator to its first overcurrent device:
//
//	I = 1.15 x nameplate current, or 1.00 x where the set cannot be overloaded
//
// Source: NFPA 70 445.13(A), from memory.
func GeneratorConductor(nameplate unit.Ampere, protected bool) (unit.Ampere, cite.Ref) {
	key := "generator.share"
	if protected {
		key = "generator.share.protected"
	}
	k, c := figure(key)
	return nameplate * unit.Ampere(k), c
}

// Workspace is the clear room in front of equipment.
type Workspace struct {
	Depth, Width, Height unit.Metre
	Dedicated            unit.Metre // height above the equipment kept free of foreign things
	Cite                 cite.Ref
}

// WorkspaceFor returns the least working space for a voltage to ground and a
// condition: 1 nothing live or grounded opposite, 2 grounded opposite
// (concrete, brick and tile are grounded), 3 live opposite. Width and height
// are at least those of the equipment. Source: NFPA 70 110.26.
func WorkspaceFor(toGround unit.Volt, condition int) (Workspace, bool) {
	t := workspace()
	for i := range t.Rows {
		if to, _ := cell(t, i, "to"); float64(toGround) <= to && toGround >= 0 {
			d, ok := cell(t, i, fmt.Sprintf("c%d", condition))
			w, _ := figure("workspace.width")
			h, _ := figure("workspace.height")
			z, _ := figure("workspace.dedicated")
			return Workspace{
				Depth: unit.Metre(d) * unit.Foot, Width: unit.Metre(w) * unit.Inch,
				Height: unit.Metre(h) * unit.Foot, Dedicated: unit.Metre(z) * unit.Foot, Cite: t.Cite,
			}, ok
		}
	}
	return Workspace{}, false
}

// Grounding is what a feeder takes for its device and its grounding.
type Grounding struct {
	Device unit.Ampere // largest that may protect the conductors
	EGC    conductor.UpsizedEGC
	GEC    conductor.GEC // for a separately derived source at its end
	Jumper unit.Wire     // system bonding jumper of such a source
	Cite   []cite.Ref
}

// Feeder is the conductors of a feeder as far as its device and grounding are
// concerned.
type Feeder struct {
	Size     unit.Wire
	Needed   unit.Wire // what the load alone asks for, before any growth for drop; zero: Size
	Material conductor.Material
	Sets     int         // parallel sets; zero is one
	Column   int         // temperature column; zero is 75
	Device   unit.Ampere // as set; zero: the largest allowed
	Edition  int
	To       conductor.To // where the GEC of a separately derived source ends
	Ring     unit.Wire    // ring conductor, for ToRing
}

// GroundingFor returns the largest overcurrent device for feeder conductors,
// the EGC for the device that is set, and the GEC and system bonding jumper
// for the same conductors leaving a separately derived source.
func GroundingFor(f Feeder) (Grounding, error) {
	sets, column, needed := max(1, f.Sets), f.Column, f.Needed
	if needed == 0 {
		needed = f.Size
	}
	if column == 0 {
		column = 75
	}
	amp, c, ok := conductor.Ampacity(f.Size, f.Material, column)
	if !ok {
		return Grounding{}, fmt.Errorf("no %d C ampacity is printed for %v %v", column, f.Size, f.Material)
	}
	var g Grounding
	largest, refs, ok := conductor.LargestOCPD(f.Size, f.Material, amp*unit.Ampere(sets), f.Edition)
	if !ok {
		return Grounding{}, fmt.Errorf("no standard device for %s A", unit.Trim(float64(amp), 0))
	}
	g.Device, g.Cite = largest, append([]cite.Ref{c}, refs...)
	device := f.Device
	if device == 0 {
		device = largest
	}
	var err error
	if g.EGC, err = conductor.UpsizeEGC(device, f.Material, needed, f.Size); err != nil {
		return g, err
	}
	cmil := conductor.CircularMils(f.Size) * float64(sets)
	if g.GEC, err = conductor.GECFor(cmil, f.Material, conductor.Copper, f.To, f.Ring); err != nil {
		return g, err
	}
	j, cj, err := conductor.BondingJumper(cmil, f.Material)
	if err != nil {
		return g, err
	}
	g.Jumper, g.Cite = j, append(g.Cite, g.EGC.Cite, g.GEC.Cite, cj)
	return g, nil
}

// System is a voltage system by its name.
type System struct {
	Name     string
	Phases   int
	Line     unit.Volt // between phases
	ToGround unit.Volt // highest
	Hot      int       // ungrounded conductors
	Neutral  bool
	Words    string
}

// Systems lists the systems that are known.
func Systems() []System {
	t := systems()
	var out []System
	for i, r := range t.Rows {
		n := func(col string) float64 { v, _ := cell(t, i, col); return v }
		w, _ := t.Cell(r[0], "words")
		out = append(out, System{
			Name: r[0], Phases: int(n("phases")), Line: unit.Volt(n("line")), ToGround: unit.Volt(n("ground")),
			Hot: int(n("hot")), Neutral: n("neutral") == 1, Words: w,
		})
	}
	return out
}

// ParseSystem reads the name of a system.
func ParseSystem(s string) (System, error) {
	all := Systems()
	i := slices.IndexFunc(all, func(y System) bool { return y.Name == s || y.Words == s })
	if i < 0 {
		return System{}, fmt.Errorf("%q is not a known system", s)
	}
	return all[i], nil
}
