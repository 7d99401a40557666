// Package earthtest judges a fall-of-potential test of a real electrode.
//
// A three-pole test puts a current from the electrode to an outer stake and
// reads the voltage to an inner stake along the line between them. Three ways
// lead from such readings to a resistance: the 62 % rule, the slope method, and
// a fit of the curve that the electrode as built must give in its soil. They
// are put side by side with what each is known to do wrong here; none is
// preferred by habit. What makes a reading worth nothing, or less than it
// seems, comes first and in words.
//
// Every rule reads low over resistive subsoil, so a pass can be false; every
// rule reads high from a short lead, so a failure can be. The sign of that risk
// is computed from the model and printed.
//
// It gives quantities and citations, not permission: local code, the authority
// having jurisdiction and a licensed person decide.
package earthtest

import (
	_ "embed" // the table beside this file
	"fmt"
	"math"
	"slices"

	"stubup/base/cite"
	"stubup/base/stable"
	"stubup/base/table"
	"stubup/base/unit"
	"stubup/trade/ground"
)

// Cautions are shown wherever a test is asked for.
var Cautions = []string{
	"Stakes and leads are live during a test: two people, one at the meter, nobody at a stake while it reads.",
	"Never open or join a ground before the current in it and the voltage across the gap are metered; lifting a live service ground can kill.",
	"No stakes and no wire out at the first thunder or flash; start again 30 min after the last.",
	"Located utilities first: a stake is driven too.",
}

//go:embed tables/figures.csv
var figuresCSV string

var figures = table.Lazy(figuresCSV)

func figure(key string) float64 {
	v, ok := figures().Num(key, "value")
	if !ok {
		panic("earthtest: no figure " + key)
	}
	return v
}

func figureCite(key string) cite.Ref {
	t := figures()
	work, _ := t.Cell(key, "work")
	place, _ := t.Cell(key, "place")
	seen, _ := t.Cell(key, "seen")
	switch seen {
	case "practice":
		c := cite.Practice
		c.Place = place
		return c
	case "derived":
		return cite.Ref{Work: work, Place: place, Seen: cite.Derived}
	}
	return cite.Ref{Work: work, Place: place, Seen: cite.FromMemory}
}

// Zero says where the zero of the tape is. That alone moves a reading by a
// seventh at 20 m, so it is asked, never assumed.
type Zero int

// Places of the zero.
const (
	ZeroUnknown Zero = iota
	AtEdge           // on the electrode's edge, in a side
	AtCorner         // on a corner, the line along its diagonal
	AtCenter         // over the middle of the electrode
)

func (z Zero) String() string {
	switch z {
	case AtEdge:
		return "clipped at the edge"
	case AtCorner:
		return "clipped at a corner"
	case AtCenter:
		return "from the center"
	}
	return "not stated"
}

// Lead is the line of a test: all distances are along it from its zero.
type Lead struct {
	Name    string
	From    [2]float64 // place of the zero, m
	Bearing float64    // radians, from the x axis towards the y axis
	Zero    Zero
}

// Place returns the place on the surface at a distance along the lead.
func (l Lead) Place(d unit.Metre) [3]float64 {
	return [3]float64{l.From[0] + float64(d)*math.Cos(l.Bearing), l.From[1] + float64(d)*math.Sin(l.Bearing), 0}
}

// Reading is one position of the inner stake. Asked marks one that the owner's
// recipe asks for: it is kept as it was asked, whatever it is worth.
type Reading struct {
	At    unit.Metre
	Ohm   unit.Ohm
	Asked bool
}

// Shape is one belief about the electrode and its soil: what it would read and
// what is true. Weights are relative; 0 in all shapes counts as equal.
type Shape struct {
	Name       string
	Weight     float64
	Resistance unit.Ohm
	// Predict returns the readings of inner stakes with the outer stake at a
	// distance, all along the lead.
	Predict func(stake unit.Metre, probes []unit.Metre) ([]unit.Ohm, error)
}

// Predicted returns the shape of a solved electrode along a lead, with the
// currents that the outer stake drives between its parts.
func Predicted(s *ground.Solution, electrode int, l Lead, name string, weight float64) Shape {
	return Shape{name, weight, s.Resistance(electrode), func(stake unit.Metre, probes []unit.Metre) ([]unit.Ohm, error) {
		ps := make([][3]float64, len(probes))
		for i, d := range probes {
			ps[i] = l.Place(d)
		}
		rs, err := s.FallOfPotential(electrode, l.Place(stake), ps)
		if err != nil {
			return nil, err
		}
		out := make([]unit.Ohm, len(rs))
		for i, r := range rs {
			out[i] = r.Reading
		}
		return out, nil
	}}
}

// Fault says what is wrong with an input.
type Fault int

// Faults.
const (
	BadStake Fault = iota
	BadReading
	BadShape
	BadOption
	NoLead
)

// Error is an input that cannot be judged.
type Error struct {
	Fault Fault
	Index int // of the reading, shape or lead, from 0; -1 where the whole is
	What  string
	Mend  string
}

func (e *Error) Error() string {
	if e.Index >= 0 {
		return fmt.Sprintf("number %d: %s: %s", e.Index+1, e.What, e.Mend)
	}
	return e.What + ": " + e.Mend
}

func good(v float64) bool { return v > 0 && !math.IsInf(v, 0) }

func checkReadings(stake unit.Metre, rs []Reading) error {
	if !good(float64(stake)) {
		return &Error{BadStake, -1, fmt.Sprintf("the outer stake at %g m", float64(stake)), "give its distance from the zero"}
	}
	for i, r := range rs {
		if !good(float64(r.At)) || r.At >= stake {
			return &Error{BadReading, i, fmt.Sprintf("the inner stake at %g m", float64(r.At)), "it stands between the zero and the outer stake"}
		}
		if !good(float64(r.Ohm)) {
			return &Error{BadReading, i, fmt.Sprintf("a reading of %g ohm", float64(r.Ohm)), "give what the meter shows, above 0"}
		}
	}
	return nil
}

func sortedReadings(rs []Reading) []Reading {
	out := slices.Clone(rs)
	stable.Sort(out, func(a, b Reading) int {
		switch {
		case a.At < b.At:
			return -1
		case a.At > b.At:
			return 1
		}
		return 0
	})
	return out
}
