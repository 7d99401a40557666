package feeder

import (
	"fmt"
	"math"

	"stubup/base/cite"
	"stubup/base/unit"
	"stubup/trade/conductor"
)

// Motor is one motor of a load.
type Motor struct {
	Amps   unit.Ampere // full-load current by the code's tables, not the nameplate
	Device unit.Ampere // its own branch-circuit device; 0 where nobody said
}

// Load is what a feeder carries. A load is continuous where its most is
// expected to go on for three hours or longer.
type Load struct {
	Continuous, Other unit.Ampere
	Motors            []Motor
}

// Running returns the current that flows: the plain sum.
func (l Load) Running() unit.Ampere {
	i := l.Continuous + l.Other
	for _, m := range l.Motors {
		i += m.Amps
	}
	return i
}

func (l Load) largest() (k int) {
	k = -1
	for i, m := range l.Motors {
		if k < 0 || m.Amps > l.Motors[k].Amps {
			k = i
		}
	}
	return k
}

// Conductor returns the least ampacity of the conductors before any correction:
//
//	I = 1.25 Ic + Io + 1.25 Imax + sum of the other motors
//
// Ic continuous, Io other load, Imax the largest motor, all A. Source: NFPA 70
// 215.2(A)(1) and 430.24 (from memory).
func (l Load) Conductor() (unit.Ampere, cite.Ref) {
	k, c := figure("load.continuous")
	i := unit.Ampere(k)*l.Continuous + l.Other
	for _, m := range l.Motors {
		i += m.Amps
	}
	if big := l.largest(); big >= 0 {
		km, cm := figure("load.motor")
		i += unit.Ampere(km-1) * l.Motors[big].Amps
		c = cm
	}
	return i, c
}

// Device returns the least rating that the load asks of the feeder's
// overcurrent device, and the most that its motors allow it (0 for no such
// limit):
//
//	least = 1.25 Ic + Io + sum of motors
//	most  = largest branch device + sum of the other motors + 1.25 Ic + Io
//
// It is an error where motors are there and the largest branch device is not
// said. Source: NFPA 70 215.3, 430.62(A) and 430.63 (from memory).
func (l Load) Device() (least, most unit.Ampere, err error) {
	k, _ := figure("load.continuous")
	rest := unit.Ampere(k)*l.Continuous + l.Other
	least, most = rest, rest
	big := -1
	for i, m := range l.Motors {
		least += m.Amps
		if m.Device == 0 {
			return 0, 0, fmt.Errorf("the branch-circuit device of the %s A motor", unit.Trim(float64(m.Amps), 1))
		}
		if big < 0 || m.Device > l.Motors[big].Device {
			big = i
		}
	}
	if big < 0 {
		return least, 0, nil
	}
	most += l.Motors[big].Device
	for i, m := range l.Motors {
		if i != big {
			most += m.Amps
		}
	}
	return least, most, nil
}

// Place is where conductors lie and what they end on.
type Place struct {
	Ambient   unit.Celsius // of the air or soil around the raceway, rooftop rise included
	Carrying  int          // current-carrying conductors in one raceway
	Column    int          // 60, 75 or 90 C by the insulation where it lies
	Terminals int          // 60, 75 or 90 C as marked; 0 where nobody looked
	Material  conductor.Material
	Edition   int
}

// Ask is a feeder to be sized.
type Ask struct {
	Load   Load
	Place  Place
	Sets   int         // parallel sets; 0 is one
	Device unit.Ampere // as chosen; 0: the least standard rating that the load asks
	Source unit.Ampere // least ampacity that the source asks (see GeneratorConductor); 0 for none
	// For a limit on the drop; Limit 0 is none.
	Limit   unit.Ratio
	Volts   unit.Volt
	Current Current
	Conduit Conduit
	Length  unit.Metre
	PF      float64
}

// Sized is a feeder's conductors and device, with every figure that chose them.
type Sized struct {
	Needed    unit.Wire   // by ampacity and device alone
	Size      unit.Wire   // grown for the drop where a limit is set
	Device    unit.Ampere // overcurrent device
	Least     unit.Ampere // that the load asks of conductors before correction
	Running   unit.Ampere
	Terminals int         // column used for the terminals
	AtTerms   unit.Ampere // ampacity in that column, all sets
	Derating  conductor.Derating
	Corrected unit.Ampere // ampacity with corrections, all sets
	Protects  unit.Ampere // largest device that may protect Needed
	Drop      Drop        // with Size; zero where it cannot be told
	Why       string      // what decided the size
	Cite      []cite.Ref
}

// Size returns the smallest conductors that carry a load:
//
//   - at the terminals' column, without corrections, at least Load.Conductor;
//   - in the insulation's column, with ambient and bundling, at least
//     Load.Running;
//   - and so that the device may protect them by the smaller of the two; those
//     of motors follow 430 Part V instead (240.4(G)).
//
// Conductors in parallel are 1/0 AWG or larger. A limit on the voltage drop
// then grows them; the size before that is what an EGC is compared with.
// Source: NFPA 70 110.14(C), 215.2, 240.4, 310.10(G), 310.15 (from memory).
func Size(a Ask) (Sized, error) {
	var s Sized
	sets := unit.Ampere(max(1, a.Sets))
	running := a.Load.Running()
	for _, v := range []float64{float64(running), float64(a.Load.Continuous), float64(a.Load.Other), float64(a.Device)} {
		if !(v >= 0) || math.IsInf(v, 0) {
			return s, fmt.Errorf("a load or a device that is not a current")
		}
	}
	if running == 0 {
		return s, fmt.Errorf("the load: how many amperes, and how much of it is continuous")
	}
	if a.Place.Column != 60 && a.Place.Column != 75 && a.Place.Column != 90 {
		return s, fmt.Errorf("the insulation's temperature, 60, 75 or 90 C")
	}
	least, c := a.Load.Conductor()
	least = max(least, a.Source)
	s.Least, s.Running = least, running
	s.Device = a.Device
	lowest, most, err := a.Load.Device()
	switch {
	case err != nil && a.Device == 0:
		return s, err
	case a.Device == 0 && most > 0:
		// Motors need the room to start: the largest rating that their limit allows.
		for _, v := range conductor.StandardOCPD(a.Place.Edition) {
			if v <= most*(1+1e-9) {
				s.Device = v
			}
		}
		if s.Device < lowest {
			return s, fmt.Errorf("no standard device between %s and %s A", unit.Trim(float64(lowest), 0), unit.Trim(float64(most), 0))
		}
	case a.Device == 0:
		d, cd, ok := conductor.NextOCPD(lowest, a.Place.Edition)
		if !ok {
			return s, fmt.Errorf("no standard device for %s A", unit.Trim(float64(lowest), 0))
		}
		s.Device, s.Cite = d, append(s.Cite, cd)
	case most > 0 && a.Device > most*(1+1e-9):
		return s, fmt.Errorf("a device of %s A is over the %s A that the motors allow", unit.Trim(float64(a.Device), 0), unit.Trim(float64(most), 1))
	case err == nil && a.Device < lowest*(1-1e-9):
		return s, fmt.Errorf("a device of %s A is under the %s A that the load asks", unit.Trim(float64(a.Device), 0), unit.Trim(float64(lowest), 1))
	}
	s.Terminals = a.Place.Terminals
	if s.Terminals == 0 {
		s.Terminals = conductor.TerminationColumn(s.Device, false)
	}
	smallest, cp := figureWire("parallel.least")
	s.Cite = append(s.Cite, c)
	for _, w := range unit.Wires() {
		if sets > 1 && conductor.CircularMils(w) < conductor.CircularMils(smallest) {
			continue
		}
		// The insulation bounds the terminals too: a 60 C wire gains nothing on
		// a 75 C lug.
		term, c1, ok := conductor.Ampacity(w, a.Place.Material, min(s.Terminals, a.Place.Column))
		if !ok {
			continue
		}
		d, err := conductor.Derate(w, a.Place.Material, a.Place.Column, a.Place.Ambient, a.Place.Carrying)
		if err != nil {
			return s, err
		}
		atTerms, corrected := sets*term, sets*d.Ampacity
		protects, cs, ok := conductor.LargestOCPD(w, a.Place.Material, min(atTerms, corrected), a.Place.Edition)
		if most > 0 { // conductors of motors are protected by the motors' own devices
			protects, ok = max(protects, s.Device), true
		}
		const hair = 1 - 1e-9
		switch {
		case atTerms < least*hair:
			s.Why = "the terminals, before correction"
		case corrected < running*hair:
			s.Why = "heat: ambient and the conductors together"
		case !ok || protects < s.Device:
			s.Why = "the device that must protect it"
		default:
			s.Needed, s.Size = w, w
			s.AtTerms, s.Derating, s.Corrected, s.Protects = atTerms, d, corrected, protects
			s.Cite = append(append(s.Cite, c1), append(d.Cite, cs...)...)
			if sets > 1 {
				s.Cite = append(s.Cite, cp)
				if w == smallest && s.Why == "" {
					s.Why = "the least size in parallel"
				}
			}
			return s.grown(a)
		}
	}
	return s, fmt.Errorf("no printed size carries %s A in %d sets: more sets in parallel", unit.Trim(float64(least), 0), int(sets))
}

// grown makes the conductors as large as the limit on the drop asks.
func (s Sized) grown(a Ask) (Sized, error) {
	if a.Length == 0 || a.Volts == 0 {
		if a.Limit > 0 {
			return s, fmt.Errorf("the length and the voltage, for the drop")
		}
		return s, nil
	}
	for _, w := range unit.Wires() {
		if conductor.CircularMils(w) < conductor.CircularMils(s.Needed) {
			continue
		}
		d, err := DropOf(Run{Size: w, Material: a.Place.Material, Conduit: a.Conduit, Current: a.Current, Sets: a.Sets, Volts: a.Volts, Amps: s.Running, Length: a.Length, PF: a.PF})
		if err != nil {
			continue
		}
		if a.Limit > 0 && d.Share > a.Limit*(1+1e-9) {
			continue
		}
		if s.Drop, s.Size = d, w; w != s.Needed {
			s.Why = "the voltage drop"
		}
		s.Cite = append(s.Cite, d.Cite...)
		return s, nil
	}
	if a.Limit > 0 {
		return s, fmt.Errorf("no printed size keeps the drop within %s %%: more sets in parallel, or another way", unit.Trim(100*float64(a.Limit), 1))
	}
	return s, nil
}
