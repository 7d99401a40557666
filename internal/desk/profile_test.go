package desk

import (
	"strings"
	"testing"
)

// Another profile is looked at without changing the document, and writing it
// does what was told.
func TestUnder(t *testing.T) {
	d := open(t, "compound-a.yaml")
	src := string(d.Text())
	var on []string
	for _, p := range d.Profiles() {
		if p.On {
			on = append(on, p.Key)
		}
	}
	if got := strings.Join(on, " "); got != "nfpa-70 nfpa-780 good-practice owner" {
		t.Fatalf("on are %s", got)
	}
	if same, err := d.Under(on); err != nil || len(same.Turned) > 0 || len(same.Edits) > 0 {
		t.Errorf("as it stands: %+v %v", same, err)
	}
	for _, keys := range [][]string{{"nfpa-70", "good-practice", "owner"}, {"nfpa-70", "nfpa-780", "good-practice"}, {"nfpa-70", "nfpa-780", "good-practice", "owner", "nesc", "tia-569"}, {}} {
		diff, err := d.Under(keys)
		if err != nil {
			t.Fatal(keys, err)
		}
		if len(diff.Turned) == 0 {
			t.Errorf("%v: nothing turns", keys)
		}
		if string(d.Text()) != src {
			t.Fatal("looking changed the document")
		}
		gone, come := 0, 0
		for _, x := range diff.Turned {
			if x.Would == "" {
				gone++
			}
			if x.Was == "" {
				come++
			}
		}
		was := len(d.Result().Prove().Findings)
		back, err := d.Edit(diff.Edits)
		if err != nil {
			t.Fatal(keys, err)
		}
		if is := len(d.Result().Prove().Findings); is != was-gone+come {
			t.Errorf("%v: %d findings, was %d, %d go and %d come", keys, is, was, gone, come)
		}
		for o, n := range outcomes(d.Result().Prove().Findings) {
			if diff.Counts[o] != n {
				t.Errorf("%v: %d %s, told %d", keys, n, o, diff.Counts[o])
			}
		}
		if _, err := d.Edit(back); err != nil || string(d.Text()) != src {
			t.Errorf("%v: undo: %v", keys, err)
		}
	}
	if _, err := d.Under([]string{"the-handbook"}); err == nil {
		t.Error("rules that nobody knows were taken")
	}
}

// Nothing is broken or left open without what to do about it.
func TestEveryFindingHasItsMend(t *testing.T) {
	for _, file := range []string{"compound-a.yaml", "fiber-entry.yaml", "fiber-entry-moved.yaml", "ford-meadow.yaml"} {
		for _, f := range open(t, file).Result().Prove().Findings {
			if o := f.Outcome.String(); (o == "broken" || o == "cannot tell") && strings.TrimSpace(f.Mend) == "" {
				t.Errorf("%s: %s of %s is %s without a mend", file, f.Rule.ID, f.Path, o)
			}
		}
	}
}
