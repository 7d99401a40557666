package unit

import (
	"math"
	"strconv"
	"testing"

	"pgregory.net/rapid"
)

// Expected values are conversions by definition: 1 in = 25.4 mm, 1 ft = 12 in
// (international yard and pound agreement, 1959), 1 lbf = 4.4482216152605 N.
func TestParse(t *testing.T) {
	for _, c := range []struct {
		text string
		dim  Dim
		want float64
	}{
		{"30 in", Length, 0.762},
		{`2'-6 1/2"`, Length, 0.7747},
		{`2' 6"`, Length, 0.762},
		{"2 ft 6 in", Length, 0.762},
		{"14'", Length, 4.2672},
		{"-2'-6\"", Length, -0.762},
		{"762 mm", Length, 0.762},
		{"2-7/8 in", Length, 2.875 * 0.0254},
		{"2 7/8 in", Length, 2.875 * 0.0254},
		{"5/8 in", Length, 0.625 * 0.0254},
		{"1.5ft", Length, 0.4572},
		{"100 ohm-m", Resistivity, 100},
		{"10000 ohm-cm", Resistivity, 100},
		{"45 g", Mass, 0.045},
		{"10 %", Share, 0.1},
		{"-10 F", Temperature, -23.3333333},
		{"30 F", TemperatureDifference, 16.6666667},
		{"48 h", Time, 172800},
		{"90 deg", Angle, 90},
		{"600 lbf", Force, 2668.9329691563},
	} {
		got, err := Parse(c.text, c.dim)
		if err != nil || math.Abs(got-c.want) > 1e-6*math.Max(1, math.Abs(c.want)) {
			t.Errorf("Parse(%q) = %v, %v; want %v", c.text, got, err, c.want)
		}
	}
}

func TestParseFaults(t *testing.T) {
	for _, c := range []struct {
		text string
		dim  Dim
		want Fault
	}{
		{"30", Length, NoUnit},
		{"", Length, NoNumber},
		{"deep", Length, NoNumber},
		{"30 ohm", Length, WrongUnit},
		{"30 furlong", Length, UnknownUnit},
		{"1e300 in", Length, Unbounded},
		{"1e999 in", Length, Unbounded},
		{"NaN in", Length, NoNumber},
		{"2-8/7 in", Length, UnknownUnit},
		{"5 ohm", Resistivity, WrongUnit},
		{"7/0 in", Length, UnknownUnit},
	} {
		_, err := Parse(c.text, c.dim)
		e, ok := err.(*Error)
		if !ok || e.Fault != c.want || e.Mend == "" {
			t.Errorf("Parse(%q) gave %v, want fault %v with a mend", c.text, err, c.want)
		}
	}
	_, err := Parse("30", Length)
	if m := err.(*Error).Mend; m != `write "30 in" or "762 mm"` {
		t.Errorf("mend = %s", m)
	}
}

// What is shown parses back to the same place within half of a sixteenth.
func TestFeetInchesRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := Metre(rapid.Float64Range(-3000, 3000).Draw(t, "m"))
		for _, s := range []string{FeetInches(m), Inches(m), SI.Length(m)} {
			got, err := Parse(s, Length)
			if err != nil {
				t.Fatalf("%q: %v", s, err)
			}
			if math.Abs(got-float64(m)) > 0.0254/32+1e-9 {
				t.Fatalf("%v printed %q, read %v", m, s, got)
			}
		}
	})
}

func TestSizes(t *testing.T) {
	for _, s := range []string{"2 AWG", "2", " 2 AWG "} {
		if w, err := ParseWire(s); err != nil || w.String() != "2 AWG" {
			t.Errorf("ParseWire(%q) = %v, %v", s, w, err)
		}
	}
	for _, s := range []string{"", "5", "2 kcmil", "250 AWG", "0", "5/0"} {
		if w, err := ParseWire(s); err == nil {
			t.Errorf("ParseWire(%q) = %v, want an error", s, w)
		}
	}
	for _, s := range []string{"2-1/2", "2 1/2", "2.5", "2-1/2 in"} {
		if w, err := ParseTrade(s); err != nil || w.Name() != "2-1/2" {
			t.Errorf("ParseTrade(%q) = %v, %v", s, w, err)
		}
	}
	for _, s := range []string{"", "7", "2-1/3", "0.6"} {
		if w, err := ParseTrade(s); err == nil {
			t.Errorf("ParseTrade(%q) = %v, want an error", s, w)
		}
	}
	for i, w := range Wires() {
		if i > 0 && w <= Wires()[i-1] {
			t.Error("wire sizes are not ordered")
		}
		if back, err := ParseWire(w.String()); err != nil || back != w {
			t.Errorf("%v does not parse back: %v %v", w, back, err)
		}
	}
	for _, s := range Trades() {
		if back, err := ParseTrade(strconv.FormatFloat(s.Nominal(), 'f', -1, 64)); err != nil || back != s {
			t.Errorf("%v does not parse back by inches: %v %v", s, back, err)
		}
	}
}

func TestPrint(t *testing.T) {
	for got, want := range map[string]string{
		FeetInches(0.7747): `2'-6 1/2"`, Inches(-0.0254 * 1.75): "-1 3/4 in", Ohms(4.6789): "4.68 ohm", Ohms(76.6577): "76.7 ohm",
		Ohms(0.00089): "0.890 mohm", Figures(12345, 3): "12300", Fixed(-0.0001, 2): "0.00", US.Run(46.0553): "151.1 ft",
		FeetInches(0.3047999): `1'-0"`, FeetInches(0.62865): `2'-0 3/4"`, SI.Short(0.762): "762 mm",
	} {
		if got != want {
			t.Errorf("printed %q, want %q", got, want)
		}
	}
}
