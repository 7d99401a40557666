package feeder

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"stubup/base/unit"
	"stubup/trade/conductor"
)

func wireOf(t testing.TB, s string) unit.Wire {
	t.Helper()
	w, err := unit.ParseWire(s)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

var plain = Place{Ambient: 30, Carrying: 3, Column: 90, Terminals: 75, Edition: 2023}

// Worked by hand from the printed tables (310.16, 310.15(B)(1) and (C)(1),
// 240.6(A) of 2011 to 2023, Chapter 9 Table 9) and the articles named at each.
func TestSizeByHand(t *testing.T) {
	hot := plain
	hot.Ambient, hot.Carrying = 45, 6
	unmarked := plain
	unmarked.Terminals = 0
	for _, c := range []struct {
		name   string
		ask    Ask
		size   string
		device float64
		why    string
	}{
		// 1.25 x 100 = 125 A: 1 AWG carries 130 in the 75 C column. 215.2, 215.3.
		{"continuous", Ask{Load: Load{Continuous: 100}, Place: plain}, "1", 125, "terminals"},
		// 90 C column x 0.87 x 0.80: 4 AWG 66.1 A, 3 AWG 80.04 A. 310.15.
		{"hot and full", Ask{Load: Load{Other: 80}, Place: hot}, "3", 80, "heat"},
		// Not marked and 100 A or less: 60 C column, 4 AWG 70 A. 110.14(C)(1).
		{"unmarked", Ask{Load: Load{Other: 60}, Place: unmarked}, "4", 60, "terminals"},
		// 42.5 + 22 + 14 = 78.5 A: 4 AWG 85 A; device 80 + 22 + 14 = 116, so 110,
		// over what 4 AWG may otherwise have (90). 430.24, 430.62(A), 240.4(G).
		{"motors", Ask{Load: Load{Motors: []Motor{{34, 80}, {22, 50}, {14, 30}}}, Place: plain}, "4", 110, "terminals"},
		// 1.25 x 400 + 100 = 600 A in two sets: 350 kcmil 310 A each; 700 A is the
		// next rating over 620 and 600 is set. 310.10(G), 240.4(B).
		{"two sets", Ask{Load: Load{Continuous: 400, Other: 100}, Sets: 2, Place: plain}, "350", 600, "terminals"},
		// 0.09 ohm/kft at most: 2/0 0.108, 3/0 0.0876. Chapter 9 Table 9 note 2.
		{"drop", Ask{Load: Load{Other: 100}, Place: plain, Limit: 0.03, Volts: 240, Current: SinglePhase, Conduit: InPVC, Length: 400 * unit.Foot}, "3/0", 100, "drop"},
		// A device as chosen decides where it is larger than the load asks: 3 AWG
		// carries 100 A.
		{"device", Ask{Load: Load{Other: 40}, Device: 100, Place: plain}, "3", 100, "device"},
	} {
		s, err := Size(c.ask)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if s.Size != wireOf(t, c.size) || float64(s.Device) != c.device || !strings.Contains(s.Why, c.why) {
			t.Errorf("%s: %v, %v A, %q; want %s, %v A, %q", c.name, s.Size, s.Device, s.Why, c.size, c.device, c.why)
		}
	}
	// Parallel conductors are never smaller than 1/0.
	if s, err := Size(Ask{Load: Load{Other: 60}, Sets: 2, Place: plain}); err != nil || s.Size != wireOf(t, "1/0") {
		t.Errorf("%v, %v", s.Size, err)
	}
}

func TestSizeThatCannotBeTold(t *testing.T) {
	for _, c := range []struct {
		says string
		ask  Ask
	}{
		{"the load", Ask{Place: plain}},
		{"branch-circuit device", Ask{Load: Load{Motors: []Motor{{Amps: 20}}}, Place: plain}},
		{"insulation", Ask{Load: Load{Other: 20}, Place: Place{Ambient: 30, Carrying: 3}}},
		{"under the", Ask{Load: Load{Other: 90}, Device: 80, Place: plain}},
		{"more sets", Ask{Load: Load{Other: 2000}, Place: plain}},
		{"correction", Ask{Load: Load{Other: 20}, Place: Place{Ambient: 95, Carrying: 3, Column: 90, Terminals: 75, Edition: 2023}}},
		{"length", Ask{Load: Load{Other: 20}, Place: plain, Limit: 0.03}},
	} {
		if _, err := Size(c.ask); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%q: %v", c.says, err)
		}
	}
}

// Against the definition, size by size: what is returned holds every
// condition and the next smaller one breaks one; more load, heat or company
// never asks for less.
func TestSizeIsLeast(t *testing.T) {
	holds := func(a Ask, s Sized, w unit.Wire) bool {
		sets := float64(max(1, a.Sets))
		term, _, ok := conductor.Ampacity(w, a.Place.Material, min(s.Terminals, a.Place.Column))
		full, _, ok2 := conductor.Ampacity(w, a.Place.Material, a.Place.Column)
		if !ok || !ok2 {
			return false
		}
		fa, _, _ := conductor.AmbientFactor(a.Place.Ambient, a.Place.Column)
		fb, _ := conductor.BundlingFactor(a.Place.Carrying)
		corrected := float64(full) * fa * fb * sets
		carries := 1.25*float64(a.Load.Continuous)+float64(a.Load.Other) <= float64(term)*sets+1e-6 && float64(a.Load.Continuous+a.Load.Other) <= corrected+1e-6
		dev, _, ok := conductor.LargestOCPD(w, a.Place.Material, unit.Ampere(min(float64(term)*sets, corrected)), a.Place.Edition)
		return carries && ok && dev >= s.Device
	}
	rapid.Check(t, func(t *rapid.T) {
		a := Ask{
			Load: Load{Continuous: unit.Ampere(rapid.Float64Range(0, 300).Draw(t, "continuous")), Other: unit.Ampere(rapid.Float64Range(1, 300).Draw(t, "other"))},
			Place: Place{
				Ambient: unit.Celsius(rapid.Float64Range(0, 50).Draw(t, "ambient")), Carrying: rapid.IntRange(1, 12).Draw(t, "carrying"),
				Column: rapid.SampledFrom([]int{75, 90}).Draw(t, "column"), Terminals: rapid.SampledFrom([]int{0, 60, 75}).Draw(t, "terminals"),
				Material: rapid.SampledFrom([]conductor.Material{conductor.Copper, conductor.Aluminum}).Draw(t, "metal"), Edition: 2020,
			},
			Sets: rapid.IntRange(1, 3).Draw(t, "sets"),
		}
		s, err := Size(a)
		if err != nil {
			t.Skip("no size is large enough")
		}
		if !holds(a, s, s.Size) {
			t.Fatalf("%v does not hold: %+v", s.Size, s)
		}
		for _, w := range unit.Wires() {
			if w < s.Size && (a.Sets == 1 || conductor.CircularMils(w) >= 105600) && holds(a, s, w) {
				t.Fatalf("%v would do, not %v: %+v", w, s.Size, s)
			}
		}
		more := a
		more.Load.Other += unit.Ampere(rapid.Float64Range(0, 50).Draw(t, "more"))
		if m, err := Size(more); err == nil && m.Size < s.Size && m.Terminals == s.Terminals {
			t.Fatalf("%v for more load, %v for less", m.Size, s.Size)
		}
	})
}
