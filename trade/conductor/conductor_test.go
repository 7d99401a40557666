package conductor

import (
	"math"
	"strings"
	"testing"

	"stubup/base/cite"
	"stubup/base/unit"
)

func TestParseBare(t *testing.T) {
	for _, c := range []struct {
		in   string
		want Bare
	}{
		{"2 AWG solid tinned copper", Bare{wire("2"), true, true}},
		{"2 AWG tinned solid bare copper", Bare{wire("2"), true, true}},
		{"4/0 AWG stranded bare copper", Bare{wire("4/0"), false, false}},
		{"2 stranded Cu", Bare{wire("2"), false, false}},
		{"250 kcmil stranded copper", Bare{wire("250"), false, false}},
	} {
		b, err := ParseBare(c.in)
		if err != nil || b != c.want {
			t.Errorf("%q: %v, %v", c.in, b, err)
		}
		if again, err := ParseBare(b.String()); err != nil || again != b {
			t.Errorf("%q prints as %q, which reads as %v, %v", c.in, b, again, err)
		}
	}
	for _, bad := range []string{"", "2 AWG copper", "solid copper", "2 AWG solid stranded copper", "2 AWG solid gold", "40 AWG solid copper"} {
		if b, err := ParseBare(bad); err == nil {
			t.Errorf("%q reads as %v", bad, b)
		}
	}
}

func FuzzParseBare(f *testing.F) {
	f.Add("2 AWG solid tinned copper")
	f.Fuzz(func(t *testing.T, s string) {
		if b, err := ParseBare(s); err == nil {
			if again, err := ParseBare(b.String()); err != nil || again != b {
				t.Errorf("%q -> %q -> %v %v", s, b, again, err)
			}
		}
	})
}

// 2 AWG solid: 0.2576 in and 0.1563 mohm/ft at 20 C, copper wire tables of
// NBS Handbook 100, from memory.
func TestRingConductor(t *testing.T) {
	b, _ := ParseBare("2 AWG solid tinned copper")
	d, _ := b.Diameter()
	if math.Abs(d.In()-0.2576) > 0.00005 {
		t.Errorf("diameter %v in", d.In())
	}
	if b.Radius() != d/2 {
		t.Error("radius")
	}
	r, c := b.OhmPerMetre(20)
	if got := r * 0.3048e3; math.Abs(got-0.1563) > 0.00005 || c.IsZero() {
		t.Errorf("%v mohm/ft", got)
	}
	lo, hi, _ := b.TinShare()
	if lo != 1.01 || hi != 1.04 {
		t.Errorf("tin %v to %v", lo, hi)
	}
	// 201 lb per 1000 ft, the usual printed weight of 2 AWG solid bare copper
	// (from memory; density 8.89).
	if got := float64(b.Mass()) / 0.45359237 * 304.8; math.Abs(got-201) > 1 {
		t.Errorf("%v lb/1000 ft", got)
	}
	// A stranded 2 AWG has up to 2.5 percent more resistance than a solid one.
	s := Bare{Size: wire("2")}
	rs, _ := s.OhmPerMetre(20)
	if k := rs / r; k < 1.01 || k > 1.03 {
		t.Errorf("stranded over solid %v", k)
	}
	if d, _ := s.Diameter(); math.Abs(d.In()-0.292) > 1e-9 {
		t.Errorf("stranded diameter %v", d.In())
	}
}

func TestParseInsulation(t *testing.T) {
	for in, want := range map[string]Insulation{
		"THHN/THWN/THWN-2": THHN, "thwn-2": THHN, "XHHW-2": XHHW, "XHHW/XHHW-2/XHH": XHHW, "THW/THW-2/THHW": THW,
		"RHH*/RHW*/RHW-2* (no outer covering)": RHW, "RHH/RHW/RHW-2 (with outer covering)": RHWCover, "RHW-2 no cover": RHW, "RHW-2 with cover": RHWCover,
	} {
		if got, err := ParseInsulation(in); err != nil || got != want {
			t.Errorf("%q: %v %v", in, got, err)
		}
	}
	for _, bad := range []string{"", "RHW-2", "TW", "wool"} {
		if got, err := ParseInsulation(bad); err == nil {
			t.Errorf("%q reads as %v", bad, got)
		}
	}
}

func TestInsulatedCarriesItsStanding(t *testing.T) {
	_, _, c, ok := Insulated{wire("2"), THHN}.Dimensions()
	if !ok || c.Seen != cite.Read {
		t.Error("THHN was read")
	}
	_, _, c, ok = Insulated{wire("2"), RHWCover}.Dimensions()
	if !ok || c.Seen != cite.FromMemory {
		t.Error("RHW with covering is from memory")
	}
	if _, _, _, ok = (Insulated{wire("2000"), THHN}).Dimensions(); ok {
		t.Error("the table prints no 2000 kcmil THHN")
	}
}

func TestLargestOCPD(t *testing.T) {
	for _, c := range []struct {
		size string
		amps unit.Ampere
		want unit.Ampere
	}{
		{"12", 25, 20},      // 240.4(D)
		{"3", 100, 100},     // exact
		{"4/0", 230, 250},   // 240.4(B): next size up
		{"500", 780, 800},   // the last that may go up
		{"500", 1140, 1000}, // above 800 A down
		{"500", 1200, 1200},
	} {
		got, _, ok := LargestOCPD(wire(c.size), Copper, c.amps, 2023)
		if !ok || got != c.want {
			t.Errorf("%s at %v A: %v %v, want %v", c.size, c.amps, got, ok, c.want)
		}
	}
	// The 10 A breaker came in 2023.
	if a, _, _ := NextOCPD(9, 2023); a != 10 {
		t.Error(a)
	}
	if a, _, _ := NextOCPD(9, 2020); a != 15 {
		t.Error(a)
	}
	if _, _, ok := NextOCPD(6001, 2023); ok {
		t.Error("6001 A has a rating")
	}
}

// The caps of 250.66(A) to (C), and the edge of a row: at it and just over it.
func TestGEC(t *testing.T) {
	for _, c := range []struct {
		cmil float64
		to   To
		ring string
		want string
	}{
		{66360, ToSystem, "", "8"},
		{66361, ToSystem, "", "6"},
		{1100e3, ToSystem, "", "2/0"},
		{1100e3 + 1, ToSystem, "", "3/0"},
		{600e3, ToRod, "", "6"},
		{600e3, ToConcrete, "", "4"},
		{600e3, ToRing, "", "2"},
		{600e3, ToRing, "1/0", "1/0"},
		{66360, ToRod, "", "8"}, // the cap never raises
	} {
		ring := unit.Wire(0)
		if c.ring != "" {
			ring = wire(c.ring)
		}
		g, err := GECFor(c.cmil, Copper, Copper, c.to, ring)
		if err != nil || g.Size != wire(c.want) {
			t.Errorf("%v to %v: %v %v, want %s", c.cmil, c.to, g.Size, err, c.want)
		}
	}
	for _, bad := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if _, err := GECFor(bad, Copper, Copper, ToSystem, 0); err == nil {
			t.Errorf("%v circular mils pass", bad)
		}
	}
	g, err := GECFor(150e3, Aluminum, Aluminum, ToSystem, 0) // 2/0 Al service: 4 Al by the row to 3/0
	if err != nil || g.Size != wire("4") {
		t.Error(g, err)
	}
}

func TestUpsize(t *testing.T) {
	u, err := UpsizeEGC(100, Copper, wire("3"), wire("3"))
	if err != nil || u.Size != wire("8") || u.Ratio != 1 {
		t.Error(u, err)
	}
	// Never larger than the circuit conductors, 250.122(A).
	u, err = UpsizeEGC(20, Copper, wire("12"), wire("6"))
	if err != nil || u.Size != wire("6") {
		t.Error(u, err)
	}
	if _, err := UpsizeEGC(7000, Copper, wire("3"), wire("3")); err == nil {
		t.Error("7000 A has an EGC")
	}
	if _, err := UpsizeEGC(100, Copper, 0, wire("3")); err == nil {
		t.Error("no size passes")
	}
}

func TestDerateRefuses(t *testing.T) {
	if _, err := Derate(wire("14"), Aluminum, 75, 30, 3); err == nil || !strings.Contains(err.Error(), "14 AWG") {
		t.Error(err)
	}
	if _, err := Derate(wire("2"), Copper, 60, 70, 3); err == nil {
		t.Error("60 C column at 70 C")
	}
}

func TestTerminations(t *testing.T) {
	if TerminationColumn(100, false) != 60 || TerminationColumn(101, false) != 75 || TerminationColumn(60, true) != 75 {
		t.Error("columns")
	}
}

// Weights of building wire with a nylon jacket as makers' sheets commonly give
// them, lb per 1000 ft (from memory; 12 %).
func TestInsulatedMass(t *testing.T) {
	for size, want := range map[string]float64{"12": 25, "10": 39, "8": 64, "6": 97, "4": 156, "2": 235, "1/0": 371, "3/0": 572, "4/0": 717, "250": 850, "500": 1650} {
		w, err := unit.ParseWire(size)
		if err != nil {
			t.Fatal(err)
		}
		m, _, ok := Insulated{w, THHN}.Mass(Copper)
		if got := float64(m) / 0.45359237 * 304.8; !ok || math.Abs(got/want-1) > 0.12 {
			t.Errorf("%s: %.0f lb/kft, want %.0f", size, got, want)
		}
		al, _, _ := Insulated{w, THHN}.Mass(Aluminum)
		if !(al < m*0.6) {
			t.Errorf("%s: aluminum %v, copper %v", size, al, m)
		}
	}
}
