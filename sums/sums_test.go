package sums_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"stubup/base/sheet"
	. "stubup/sums"
)

func TestEverySumIsDescribed(t *testing.T) {
	names := map[string]bool{}
	for _, s := range All() {
		if names[s.Name] || s.Name == "" || s.What == "" {
			t.Errorf("%q stands twice or says nothing", s.Name)
		}
		names[s.Name] = true
		seen := map[string]bool{"json": true, "plain": true, "help": true}
		for _, in := range s.Inputs {
			if seen[in.Name] || in.Name == "" || in.Meaning == "" || in.Unit() == "" || in.Write() == "" {
				t.Errorf("%s: input %q stands twice or is not described", s.Name, in.Name)
			}
			seen[in.Name] = true
			if in.Kind == Choice && len(in.Choices) < 2 {
				t.Errorf("%s: %s has no choices", s.Name, in.Name)
			}
			if in.Required && (in.Default != "" || in.Or != "") {
				t.Errorf("%s: %s is needed and has a default", s.Name, in.Name)
			}
			if _, ok := s.Input(in.Or); in.Or != "" && !ok {
				t.Errorf("%s: %s or %s, which is no input", s.Name, in.Name, in.Or)
			}
			if in.Required && in.Example == "" {
				t.Errorf("%s: the example leaves %s out", s.Name, in.Name)
			}
		}
	}
}

func TestEveryExampleAnswers(t *testing.T) {
	for _, s := range All() {
		r, err := s.Run(s.Example())
		if err != nil {
			t.Errorf("%s: %v", s.Name, err)
			continue
		}
		if len(r.Rows) == 0 || len(r.Outside) > 0 {
			t.Errorf("%s: %d rows, outside %v", s.Name, len(r.Rows), r.Outside)
		}
		paths := map[string]bool{}
		for _, row := range r.Rows {
			if paths[row.Path] {
				t.Errorf("%s stands twice", row.Path)
			}
			paths[row.Path] = true
			if row.Name == "" || row.Text == "" || row.By.Cite.IsZero() || Source(row.Value) == "" {
				t.Errorf("%s: %q %q is not cited", row.Path, row.Name, row.Text)
			}
			if strings.Contains(row.Text, "NaN") || strings.Contains(Source(row.Value), "-any") {
				t.Errorf("%s prints %q from %q", row.Path, row.Text, Source(row.Value))
			}
		}
		for _, v := range r.Figures {
			if paths[v.Path] || v.By.Cite.IsZero() || v.Text == "" {
				t.Errorf("figure %s stands twice or is not cited", v.Path)
			}
			paths[v.Path] = true
		}
		again, _ := s.Run(s.Example())
		for i := range again.Rows {
			if again.Rows[i].Text != r.Rows[i].Text || again.Rows[i].Path != r.Rows[i].Path {
				t.Errorf("%s answers differently twice", s.Name)
			}
		}
	}
}

// Without an input that it needs, a sum names it; a default is told as such.
func TestMissingInputsAreNamed(t *testing.T) {
	for _, s := range All() {
		for _, in := range s.Inputs {
			if !in.Required {
				continue
			}
			var es []Entry
			for _, e := range s.Example() {
				if e.Name != in.Name {
					es = append(es, e)
				}
			}
			_, err := s.Run(es)
			var fs Faults
			if !errors.As(err, &fs) || !slices.ContainsFunc(fs, func(f Fault) bool { return f.Input == in.Name && f.Mend != "" }) {
				t.Errorf("%s without %s: %v", s.Name, in.Name, err)
			}
		}
		if _, err := s.Run(append(s.Example(), Entry{Name: "nothing", Text: "1"})); err == nil || !strings.Contains(err.Error(), "nothing") {
			t.Errorf("%s takes an input that it does not know: %v", s.Name, err)
		}
	}
}

func TestWords(t *testing.T) {
	for _, c := range []struct {
		sum   string
		words []string
		want  string // in the fault and its mend; empty: it answers
	}{
		{"offset", []string{"height", `1'-6 1/2"`, "trade", "2-1/2"}, ""},
		{"offset", []string{"height", "18-1/2 in", "trade", "2.5"}, ""},
		{"offset", []string{"height", "18 1/2 in", "trade", "2 1/2"}, ""},
		{"offset", []string{"height", "6", "trade", "1"}, `write "6 in" or "152.4 mm"`},
		{"offset", []string{"height", "6 in", "trade", "2-3/4"}, "the nearest are 2-1/2 in and 3 in"},
		{"offset", []string{"height", "6 in", "trade", "21/2"}, "is it 2-1/2?"},
		{"offset", []string{"height", "6 in", "angle", "95", "trade", "1"}, "too large"},
		{"offset", []string{"height", "-6 in", "trade", "1"}, "too small"},
		{"offset", []string{"height", "6 in"}, "radius: is missing, and so is trade"},
		{"offset", []string{"height", "1 in", "angle", "60 deg", "trade", "4"}, "smaller angle"},
		{"offset", []string{"height", "6 in", "trade", "1", "reach", "3 in"}, "start farther back"},
		{"offset", []string{"height", "6 in", "height", "7 in", "trade", "1"}, "is given twice"},
		{"fill", []string{"kind", "EMT", "trade", "6", "wires", "3 x 500 THHN"}, "the nearest is 4 in"},
		{"fill", []string{"kind", "EMT", "trade", "3-1/2", "wires", "3 x 500 MCM THHN"}, ""},
		{"fill", []string{"kind", "PVC", "wires", "3 x 12 THHN"}, "PVC-40"},
		{"fill", []string{"kind", "EMT", "wires", "3 x 0 THHN"}, `write "1/0"`},
		{"fill", []string{"kind", "EMT", "wires", "3 x 5 THHN"}, "the nearest are 4 AWG and 6 AWG"},
		{"fill", []string{"kind", "EMT", "wires", "12 THHN"}, "how many"},
		{"fill", []string{"kind", "EMT", "wires", "3 x 12"}, "insulation"},
		{"fill", []string{"kind", "EMT", "wires", "3 x 12 RHW"}, "cover"},
		{"fill", []string{"kind", "EMT", "wires", "1 x #8 bare", "cables", "2 x 0.44 in"}, ""},
		{"fill", []string{"kind", "EMT", "cables", "2 x 0.44"}, "diameter of the cable"},
		{"box", []string{"wires", "4 x 4"}, "pullbox"},
		{"box", []string{"wires", "4 x 12", "volume", "21"}, "volume of a box"},
		{"pullbox", []string{"pulls", "3 west to up"}, "walls are"},
		{"pullbox", []string{"pulls", "3 back to east"}, "largest"},
		{"pullbox", []string{"pulls", "3 west to 2-1/2 north"}, ""},
		{"cover", []string{"kind", "EMT", "over", "open", "edition", "2020"}, "no column"},
		{"cover", []string{"kind", "EMT", "over", "open"}, ""},
		{"cover", []string{"kind", "RMC", "over", "open", "volts", "12.47 kV"}, ""},
		{"cover", []string{"kind", "RMC", "cable", "direct", "over", "open"}, "one of the two"},
		{"cover", []string{"kind", "RMC", "over", "opne"}, "is it open?"},
		{"expansion", []string{"kind", "HDPE", "length", "90 ft", "cold", "0 F", "hot", "100 F", "sun", "yes"}, "maker's figure"},
		{"expansion", []string{"kind", "PVC-40", "length", "90 ft", "cold", "0 F", "hot", "100 F"}, "sun: is missing"},
		{"bend", []string{"trade", "2", "stub", "10 in", "angle", "45"}, "90 degree"},
		{"segment", []string{"stub", "20 in", "leg", "44 in", "radius", "24 in", "shots", "18", "kind", "RMC", "trade", "2"}, "at least"},
		{"segment", []string{"stub", "48 in", "leg", "44 in", "radius", "24 in", "shots", "180", "kind", "RMC", "trade", "2"}, "from 1 to 90"},
		{"drop", []string{"size", "10", "current", "three", "volts", "480", "amps", "20", "length", "200 ft"}, "conduit: is missing"},
		{"drop", []string{"size", "10", "current", "dc", "volts", "48 V", "amps", "2 A", "length", "200 ft"}, ""},
		{"ampacity", []string{"size", "12", "column", "60", "ambient", "70 C"}, "no 60 C correction"},
		{"egc", []string{"device", "9000 A"}, "6000 A"},
		{"egc", []string{"device", "20 A", "needed", "12"}, "installed: is missing"},
		{"gec", []string{"size", "3/0", "to", "water"}, "system, rod, concrete, ring"},
		{"rod", []string{"soil", "100", "length", "8 ft", "diameter", "5/8 in"}, "100 ohm-m"},
		{"rod", []string{"soil", "100 ohm-m", "length", "8 ft", "diameter", "2 ft"}, "thin"},
		{"rod", []string{"soil", "100 ohm-m", "length", "8 ft", "diameter", "5/8 in", "count", "7", "spacing", "8 ft"}, "the table has"},
		{"ring", []string{"soil", "100 ohm-m", "long", "36 ft", "conductor", "2 AWG solid copper", "depth", "30 in"}, "wide"},
		{"ring", []string{"soil", "100 ohm-m", "diameter", "36 ft", "conductor", "2 AWG copper", "depth", "30 in"}, "solid or stranded"},
		{"spares", []string{"items", "2.5"}, "whole number"},
	} {
		s, _ := Find(c.sum)
		var es []Entry
		for i := 0; i < len(c.words); i += 2 {
			es = append(es, Entry{Name: c.words[i], Text: c.words[i+1]})
		}
		_, err := s.Run(es)
		switch {
		case c.want == "" && err != nil:
			t.Errorf("%s %q: %v", c.sum, c.words, err)
		case c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)):
			t.Errorf("%s %q: %v, want %q", c.sum, c.words, err, c.want)
		}
	}
}

// A limit that is not held is marked, and so is the range that is left.
func TestVerdictsAndRanges(t *testing.T) {
	mark := func(r *Result, key string) sheet.Mark {
		for _, row := range r.Rows {
			if row.Path == r.Sum.Name+"."+key {
				return row.Mark
			}
		}
		t.Fatalf("no row %s", key)
		return 0
	}
	// NFPA 70 Annex C: nine 12 AWG THHN in EMT 1/2, ten do not go.
	if mark(ask(t, "fill", "kind", "EMT", "trade", "1/2", "wires", "9 x 12 THHN"), "holds") != sheet.Holds {
		t.Error("nine 12 AWG go into EMT 1/2")
	}
	if mark(ask(t, "fill", "kind", "EMT", "trade", "1/2", "wires", "10 x 12 THHN"), "holds") != sheet.Broken {
		t.Error("ten 12 AWG do not go into EMT 1/2")
	}
	// NFPA 70 Table 300.5(A): PVC in open ground 18 in; exactly so holds.
	if mark(ask(t, "cover", "kind", "PVC-40", "over", "open", "depth", "18 in"), "holds") != sheet.Holds || mark(ask(t, "cover", "kind", "PVC-40", "over", "open", "depth", "17-15/16 in"), "holds") != sheet.Broken {
		t.Error("18 in of cover is the limit")
	}
	for _, c := range [][]string{
		{"rod", "soil", "100 ohm-m", "length", "8 ft", "diameter", "5/8 in", "count", "2", "spacing", "4 ft"},
		{"rod", "soil", "100 ohm-m", "length", "8 ft", "diameter", "5/8 in", "count", "4", "spacing", "20 ft"},
		{"ring", "soil", "100 ohm-m", "long", "90 ft", "wide", "20 ft", "conductor", "2 AWG solid copper", "depth", "30 in"},
		{"offset", "height", "6 in", "radius", "2 in", "trade", "1"},
		{"pullbox", "pulls", "1/2 west to east"},
		{"fill", "kind", "EMT", "trade", "1-1/4", "wires", "3 x 1/0 THHN"},
	} {
		if r := ask(t, c[0], c[1:]...); len(r.Outside) == 0 && c[0] != "fill" {
			t.Errorf("%q is not flagged", c)
		}
	}
	if r := ask(t, "bend", "kind", "PVC-40", "trade", "2"); len(r.Cautions) == 0 {
		t.Error("heated PVC has no caution")
	}
}

// A number in SI and the words of the same quantity come to the same.
func TestSINumbers(t *testing.T) {
	s, _ := Find("rod")
	a, err := s.Run([]Entry{{Name: "soil", Text: "100 ohm-m"}, {Name: "length", Text: "2.4384 m"}, {Name: "diameter", Text: "15.875 mm"}})
	if err != nil {
		t.Fatal(err)
	}
	b, err := s.Run([]Entry{{Name: "soil", SI: 100, IsSI: true}, {Name: "length", SI: 2.4384, IsSI: true}, {Name: "diameter", SI: 0.015875, IsSI: true}})
	if err != nil {
		t.Fatal(err)
	}
	for i := range a.Rows {
		if a.Rows[i].SI != b.Rows[i].SI {
			t.Errorf("%s: %v in words, %v in SI", a.Rows[i].Path, a.Rows[i].SI, b.Rows[i].SI)
		}
	}
}

// No text makes a sum panic or answer with what is no number.
func FuzzInputs(f *testing.F) {
	all := All()
	for i, s := range all {
		for j, in := range s.Inputs {
			f.Add(uint8(i), uint8(j), in.Example, 0.0, false)
			f.Add(uint8(i), uint8(j), in.Default, 1e5, true)
		}
	}
	for _, text := range []string{"", "0 in", "-1 in", "1e9 in", "3 x", "x 3", "100000 x 12 THHN", "2 west to", "to", "2 back to back", "1/0 in", "９ in", "\x00", "3 x 2000 RHW with cover", "NaN", "2-1/2-1/2"} {
		f.Add(uint8(0), uint8(2), text, -1.0, false)
		f.Add(uint8(5), uint8(1), text, -1.0, true)
	}
	f.Fuzz(func(t *testing.T, i, j uint8, text string, si float64, isSI bool) {
		s := all[int(i)%len(all)]
		in := s.Inputs[int(j)%len(s.Inputs)]
		var es []Entry
		for _, e := range s.Example() {
			if e.Name != in.Name {
				es = append(es, e)
			}
		}
		r, err := s.Run(append(es, Entry{Name: in.Name, Text: text, SI: si, IsSI: isSI}))
		if err != nil {
			if err.Error() == "" {
				t.Error("a fault without words")
			}
			return
		}
		for _, row := range r.Rows {
			if !row.Finite() || row.Text == "" {
				t.Errorf("%s %s %q: %s is %q", s.Name, in.Name, text, row.Path, row.Text)
			}
		}
		r.Blocks(true)
	})
}
