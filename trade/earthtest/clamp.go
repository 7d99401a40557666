package earthtest

import (
	"fmt"
	"math"

	"stubup/base/unit"
)

// Path is how the current of a clamp-on meter comes back.
type Path int

// Paths.
const (
	PathUnknown  Path = iota
	PathIsolated      // nowhere: nothing else is bonded to the electrode
	PathLoop          // round a loop of metal, such as the ring itself
	PathSystem        // through many other grounds, such as a multigrounded neutral
)

// ClampOn is a reading of a clamp-on meter.
type ClampOn struct {
	Ohm    unit.Ohm
	Around string // which conductor
	Path   Path
	Loop   unit.Ohm // predicted of the metal loop; 0 for none
	Rest   unit.Ohm // the other grounds in parallel; 0 for none
	// Takes is set where the spec takes a clamp-on reading.
	Takes       bool
	Limit       unit.Ohm
	LimitSource string
	Conditions  Conditions
}

// JudgeClampOn returns what a clamp-on reading is worth. It needs a path back
// through other grounds; round a loop it reads the metal, and at an electrode
// that stands alone nothing.
func JudgeClampOn(c ClampOn) (Result, error) {
	if !good(float64(c.Ohm)) && !math.IsInf(float64(c.Ohm), 1) {
		return Result{}, &Error{BadReading, -1, fmt.Sprintf("a reading of %g ohm", float64(c.Ohm)), "give what the meter shows"}
	}
	if c.Limit < 0 || math.IsNaN(float64(c.Limit)) || math.IsInf(float64(c.Limit), 0) {
		return Result{}, &Error{BadOption, -1, "a limit that is no resistance", "give ohms, or nothing"}
	}
	r := Result{Mu: math.NaN(), Under: math.NaN(), Limit: c.Limit}
	around := "around " + c.Around
	if c.Path < PathUnknown || c.Path > PathSystem {
		return Result{}, &Error{BadOption, -1, "a path that is none of the four", "say how the current comes back, or that nobody knows"}
	}
	if c.Around == "" || c.Path == PathUnknown {
		r.flag(ClampWhere, "")
	}
	switch c.Path {
	case PathIsolated:
		r.flag(ClampIsolated, around)
	case PathLoop:
		w := around
		if c.Loop > 0 {
			w = joinWords(w, fmt.Sprintf("the loop's metal is predicted %s mohm", unit.Figures(1000*float64(c.Loop), 3)))
		}
		r.flag(ClampLoop, w)
	case PathSystem:
		w := around
		if c.Rest > 0 {
			w = joinWords(w, fmt.Sprintf("%s of it the rest", unit.Ohms(c.Rest)))
		}
		r.flag(ClampMulti, w)
	}
	// The other grounds are the meter's return path: they must be on.
	cond := c.Conditions
	cond.OthersOff = Yes
	r.conditions(cond)
	if c.Limit == 0 {
		r.flag(NoLimit, "")
	}
	if !c.Takes {
		r.flag(ClampNotTaken, "")
	}
	r.decide()
	if r.Flags[0].Effect != Withholds {
		// What reads above the electrode's own can show that a limit holds, never
		// that it is broken.
		if c.Ohm <= c.Limit {
			r.Verdict = Holds
		}
	}
	return r, nil
}
