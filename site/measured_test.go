package site

import (
	"math"
	"testing"

	"stubup/base/diag"
)

// Values parsed to SI: exact by the definitions of the foot, the hour and the
// Fahrenheit scale; the words as docs/format.md has them.
func TestMeasuredDecodes(t *testing.T) {
	d := Load("t", []byte(head+`tests:
  - id: T1
    method: fall-of-potential
    clip: [0, 0]
    toward: [10, 20]
    outer: 100 ft
    zero: center
    readings:
      - {at: 52 ft, ohms: 2.81 ohm}
      - {at: 62 ft, ohms: 2.95 ohm}
      - {at: 72 ft, ohms: 3080 mohm}
    trench: Open
    disconnected: true
    rain: 20 h
    frozen: 0 in
    wetted: false
    date: 2026-01-14
    calibrated: 2026-01-14
    asked: [35 ft, 120 ft]
  - id: T2
    method: clamp-on
    around: the bar's conductor
    readings: [{ohms: 4.2 ohm}]
    disconnected: unknown
  - {id: T3, method: two-point, clip: [5, 5]}
continuity:
  - {from: J4, to: W9, ohms: 3.4 mohm, temperature: 77 F}
  - {from: post 3, to: J4r1, ohms: 12 mohm}
`))
	for _, x := range d.Diags {
		t.Error(x.Show(d.Src))
	}
	s := d.Site
	if len(s.Tests) != 3 || len(s.Continuity) != 2 {
		t.Fatalf("%d tests, %d readings of metal", len(s.Tests), len(s.Continuity))
	}
	near := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 1e-9 {
			t.Errorf("%s: %v, want %v", what, got, want)
		}
	}
	a, b, c := s.Tests[0], s.Tests[1], s.Tests[2]
	if a.ID != "T1" || a.Method != FallOfPotential || !a.HasClip || !a.HasToward || a.Zero != "center" || a.Trench != "open" || a.Disconnected != "yes" || a.Wetted != "no" {
		t.Errorf("%+v", a)
	}
	if a.Date != "2026-01-14" || a.Calibrated != "2026-01-14" || !a.Frozen.Set || len(a.Asked) != 2 || len(a.Readings) != 3 {
		t.Errorf("%+v", a)
	}
	near("toward", a.Toward.Y, 20*0.3048)
	near("outer", float64(a.Outer.SI), 30.48)
	near("rain", float64(a.Rain.SI), 72000)
	near("frozen", float64(a.Frozen.SI), 0)
	near("asked", float64(a.Asked[1].SI), 36.576)
	near("at", float64(a.Readings[1].At.SI), 62*0.3048)
	near("ohms", float64(a.Readings[2].Ohms.SI), 3.08)
	if b.Method != ClampOn || b.Around != "the bar's conductor" || b.Disconnected != "unknown" || b.HasClip || b.Outer.Set || b.Frozen.Set || b.Wetted != "" || b.Zero != "" || len(b.Readings) != 1 || b.Readings[0].At.Set {
		t.Errorf("%+v", b)
	}
	if c.Method != TwoPoint || !c.HasClip || c.HasToward || c.Disconnected != "" || c.Readings != nil {
		t.Errorf("%+v", c)
	}
	m, n := s.Continuity[0], s.Continuity[1]
	if m.From != "J4" || m.To != "W9" || n.From != "post 3" || n.To != "J4r1" || n.Temperature.Set {
		t.Errorf("%+v %+v", m, n)
	}
	near("metal", float64(m.Ohms.SI), 0.0034)
	near("temperature", float64(m.Temperature.SI), 25)
	for _, x := range []struct {
		got  diag.Span
		path string
		line int
	}{
		{a.Span, "tests[0]", 5},
		{a.Readings[1].Span, "tests[0].readings[1]", 13},
		{b.Readings[0].Span, "tests[1].readings[0]", 26},
		{c.Span, "tests[2]", 28},
		{n.Span, "continuity[1]", 31},
	} {
		if x.got.Path != x.path || x.got.Line != x.line {
			t.Errorf("%+v, want %s on line %d", x.got, x.path, x.line)
		}
	}
}

// Not said, yes and no are three answers, and the fourth word is kept.
func TestRibbonJumperAndFirestop(t *testing.T) {
	for doc, want := range map[string]string{
		"      - straight: 5 ft\n":                          "",
		"      - straight: 5 ft\n        ribbon: no\n":      "no",
		"      - straight: 5 ft\n        ribbon: true\n":    "yes",
		"      - expansion: 4 in\n":                         "",
		"      - expansion: 4 in\n        jumper: yes\n":    "yes",
		"      - expansion: 4 in\n        jumper: false\n":  "no",
		"      - expansion: 4 in\n        jumper: listed\n": "listed",
		"      - wall: w\n":                                 "",
		"      - wall: w\n        firestop: None\n":         "none",
		"      - wall: w\n        firestop: no\n":           "none",
		"      - wall: w\n        firestop: No. 12\n":       "No. 12",
	} {
		d := Load("t", []byte(head+"objects:\n  w: {kind: wall, path: [[0, 0], [9, 0]]}\n"+runYAML+doc))
		for _, x := range d.Diags {
			t.Error(x.Show(d.Src))
		}
		s := d.Site.Runs[0].Steps[0]
		if got := s.Ribbon + s.Jumper + s.Firestop; got != want {
			t.Errorf("%q: got %q, want %q", doc, got, want)
		}
	}
}

// A reading that cannot be is left out, and the warnings leave the test as it
// was written.
func TestFaultyReadingsAreLeftOut(t *testing.T) {
	for doc, want := range map[string]int{
		fall("outer: 60 ft\n    readings: [" + threeOf + ", {at: 61 ft, ohms: 3 ohm}]\n"): 3,
		fall("readings: [" + threeOf + ", {at: 6 ft, ohms: -3 ohm}]\n"):                   3,
		fall("readings: [{at: 6 ft, ohms: 3 ohm}]\n"):                                     1,
		fall("readings: [" + threeOf + ", {ohms: 3 ohm}]\n"):                              4,
	} {
		d := Load("t", []byte(head+doc))
		if len(d.Site.Tests) != 1 || len(d.Site.Tests[0].Readings) != want || len(d.Diags) != 1 {
			t.Errorf("%s\n%+v\n%v", doc, d.Site.Tests, d.Diags)
		}
	}
	d := Load("t", []byte(head+fall("readings: [{at: 6 ft, ohms: 3 ohm}]\n")))
	if d.Diags.HasError() {
		t.Error("a warning spoils the document")
	}
}
