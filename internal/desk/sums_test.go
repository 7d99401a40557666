package desk

import (
	"os"
	"testing"

	"stubup/sums"
)

// What a rod, the ring and the runs put into a calculation is read there, and
// gives the answer that the same words give anywhere.
func TestFills(t *testing.T) {
	text, err := os.ReadFile("../../examples/compound-a.yaml")
	if err != nil {
		t.Fatal(err)
	}
	d := &Desk{}
	d.Open("compound-a.yaml", text, "")
	want := map[string]map[string]string{
		"R1":   {"rod": `soil=100 ohm-m length=8'-0" diameter=5/8 in top=2'-6" limit=5 ohm `},
		"ring": {"ring": `soil=100 ohm-m long=36'-0" wide=26'-0" conductor=2 AWG solid tinned copper depth=30 in limit=5 ohm `},
	}
	for id, names := range want {
		for _, f := range d.Fills(id) {
			got := ""
			for _, x := range f.Fields {
				got += x.Key + "=" + x.Text + " "
			}
			if got != names[f.Name] {
				t.Errorf("%s, %s: %q, want %q", id, f.Name, got, names[f.Name])
			}
			delete(names, f.Name)
			s, ok := sums.Find(f.Name)
			if !ok {
				t.Errorf("no calculation is named %q", f.Name)
				continue
			}
			a, err := calculate(f.Name, f.Fields)
			if m, _ := a.(map[string]any); err != nil || m["answer"] == nil {
				t.Errorf("%s, %s (%s): %v %v", id, f.Name, s.What, a, err)
			}
		}
		if len(names) > 0 {
			t.Errorf("%s: missing %v", id, names)
		}
	}
	seen := 0
	for i := range d.res.Plan.Runs {
		for _, f := range d.Fills(d.res.Plan.Runs[i].ID) {
			s, ok := sums.Find(f.Name)
			if !ok {
				t.Fatalf("no calculation is named %q", f.Name)
			}
			seen++
			for _, x := range f.Fields {
				if _, known := s.Input(x.Key); !known {
					t.Errorf("%s has no input %q", f.Name, x.Key)
				}
			}
			// What is put in is never refused; what is missing may be asked for.
			a, err := calculate(f.Name, f.Fields)
			if err != nil {
				t.Errorf("%s: %v", f.Name, err)
			}
			put := map[string]bool{}
			for _, x := range f.Fields {
				put[x.Key] = true
			}
			if m, ok := a.(map[string]any); ok {
				for _, in := range refused(m["faults"]) {
					if put[in] {
						t.Errorf("%s: %s is refused: %v", f.Name, in, f.Fields)
					}
				}
			}
		}
	}
	if seen < 6 {
		t.Errorf("%d calculations of the runs", seen)
	}
	if got := d.Fills("nobody"); len(got) != 0 {
		t.Errorf("of nothing: %v", got)
	}
}

func refused(faults any) []string {
	var out []string
	fs, _ := faults.([]fault)
	for _, f := range fs {
		out = append(out, f.Input)
	}
	return out
}
