package wire

import (
	"encoding/json"
	"strings"
	"testing"

	"stubup/sums"
)

// The example of every sum gives the same bytes from flags and from JSON.
func TestSumJSONIsWhatFlagsGive(t *testing.T) {
	for _, s := range sums.All() {
		members := map[string]any{}
		for _, e := range s.Example() {
			members[e.Name] = e.Text
		}
		in, err := json.Marshal(members)
		if err != nil {
			t.Fatal(err)
		}
		got, err := CalcSum(s, in)
		if err != nil {
			t.Errorf("%s: %v", s.Name, err)
			continue
		}
		r, err := s.Run(s.Example())
		if err != nil {
			t.Fatal(err)
		}
		want, err := SumJSON(r)
		if err != nil {
			t.Fatal(err)
		}
		if string(got) != string(want) {
			t.Errorf("%s: JSON gives\n%s\nflags give\n%s", s.Name, got, want)
		}
		var out SumResult
		if err := json.Unmarshal(got, &out); err != nil || out.Format != 1 || out.Sum != s.Name || len(out.Rows) == 0 {
			t.Errorf("%s: %v, %+v", s.Name, err, out)
		}
		for _, p := range append(append(out.Given, out.Figures...), out.Rows...) {
			v, ok := out.Values[p]
			if !ok || v.Path != p || v.Text == "" {
				t.Errorf("%s: no value at %s", s.Name, p)
			}
			for _, f := range v.From {
				if _, ok := out.Values[f]; !ok {
					t.Errorf("%s comes from %s, which is not there", p, f)
				}
			}
		}
		for _, p := range out.Rows {
			if out.Values[p].Cite == nil {
				t.Errorf("%s is not cited", p)
			}
		}
	}
}

func TestSumEntries(t *testing.T) {
	// SI numbers, true and false, lists.
	s, _ := sums.Find("fill")
	a, err := CalcSum(s, []byte(`{"kind": "EMT", "trade": 2.5, "wires": ["3 x 3/0 THHN", "1 x 6 bare"], "nipple": true}`))
	if err != nil {
		t.Fatal(err)
	}
	b, err := CalcSum(s, []byte(`{"kind": "EMT", "trade": "2-1/2 in", "wires": "3 x 3/0 AWG THWN-2 + 1 x #6 bare", "nipple": "yes"}`))
	if err != nil {
		t.Fatal(err)
	}
	var ra, rb SumResult
	if json.Unmarshal(a, &ra) != nil || json.Unmarshal(b, &rb) != nil || ra.Values["fill.used"].Value != rb.Values["fill.used"].Value || ra.Verdicts["fill.holds"] != "holds" {
		t.Errorf("%s\n%s", a, b)
	}
	for in, want := range map[string]string{
		`[]`:                                     "must be a JSON object",
		`{"kind": "EMT", "kind": "RMC"}`:         "comes twice",
		`{"kind": null}`:                         "kind",
		`{"kind": {"a": 1}}`:                     "kind",
		`{"wires": [["3 x 12 THHN"]]}`:           "wires[0]",
		`{"wires": []}`:                          "wires",
		`{"kind": "EMT", "wire": "3 x 12 THHN"}`: "is it wires?",
		`{"kind": "EMT"}`:                        "wires: is missing",
		`{"kind": "EMT", "wires": 3}`:            "wires",
	} {
		if _, err := CalcSum(s, []byte(in)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %q", in, err, want)
		}
	}
}
