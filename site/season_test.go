package site

import (
	"math"
	"strings"
	"testing"
)

const logYAML = `soil:
  frost: 3 ft
  frozen-times: 10
  dry-depth: 24 in
  dry-times: 3
  season: Dry
  surveyed: 2026-04-20
state:
  rods:
    - rod: R1
      driven: 8 ft
      date: 2026-05-04
      temperature: 50 F
      log:
        - {driven: 6 ft, ohms: 49 ohm}   # read twice
        - {driven: 2 ft, ohms: 0.122 kohm}
        - {driven: 4 ft, ohms: 68 ohm}
`

// Values parsed to SI: exact by the definitions of the foot, the inch and the
// Fahrenheit scale. The log is in the order of depth however it was written.
func TestSeasonAndRodLogDecode(t *testing.T) {
	d := Load("t", []byte(head+logYAML))
	for _, x := range d.Diags {
		t.Error(x.Show(d.Src))
	}
	near := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 1e-9 {
			t.Errorf("%s: %v, want %v", what, got, want)
		}
	}
	s := d.Site.Soil
	near("frost", float64(s.Frost.SI), 0.9144)
	near("frozen", s.FrozenTimes, 10)
	near("dry depth", float64(s.DryDepth.SI), 0.6096)
	near("dry", s.DryTimes, 3)
	if s.Season != "dry" || s.Surveyed != "2026-04-20" {
		t.Errorf("%+v", s)
	}
	r := d.Site.State.Rods[0]
	if r.Date != "2026-05-04" || len(r.Log) != 3 {
		t.Fatalf("%+v", r)
	}
	near("temperature", float64(r.Temperature.SI), 10)
	for i, want := range [][2]float64{{0.6096, 122}, {1.2192, 68}, {1.8288, 49}} {
		near("depth", float64(r.Log[i].Driven.SI), want[0])
		near("ohms", float64(r.Log[i].Ohms.SI), want[1])
	}
	if p := r.Log[0].Span; p.Path != "state.rods[0].log[1]" || p.Line != 19 {
		t.Errorf("%+v", p)
	}
	// Twin: nobody said anything.
	n := Load("t", []byte(head+"soil: {frost: 3 ft}\nstate: {rods: [{rod: R1}]}\n")).Site
	if n.Soil.FrozenTimes != 0 || n.Soil.DryDepth.Set || n.Soil.Season != "" || n.State.Rods[0].Log != nil || n.State.Rods[0].Temperature.Set {
		t.Errorf("%+v", n)
	}
}

// An edit of a reading changes its own bytes alone, and one more can be put
// at the end.
func TestRodLogEdits(t *testing.T) {
	d := Load("t", []byte(head+logYAML))
	for _, c := range []struct{ path, old, new, want string }{
		{"state.rods[0].log[0].ohms", "49 ohm", "47 ohm", "- {driven: 6 ft, ohms: 47 ohm}   # read twice\n"},
		{"state.rods[0].log[3]", "", "{driven: 8 ft, ohms: 38 ohm}", "        - {driven: 4 ft, ohms: 68 ohm}\n        - {driven: 8 ft, ohms: 38 ohm}\n"},
		{"state.rods[0].temperature", "50 F", "", "      date: 2026-05-04\n      log:\n"},
		{"soil.dry-times", "3", "4", "  dry-times: 4\n  season: Dry\n"},
	} {
		next, inverse, err := d.Apply(Edit{Path: c.path, Old: c.old, New: c.new, Sentence: why})
		if err != nil {
			t.Errorf("%s: %v", c.path, err)
			continue
		}
		if !strings.Contains(string(next.Src), c.want) {
			t.Errorf("%s: %q is not in\n%s", c.path, c.want, next.Src)
		}
		same(t, d, next, inverse)
	}
}
