package desk

import (
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"stubup/base/diag"
)

// sites are all documents that this tree holds.
func sites(t testing.TB) map[string]*Desk {
	t.Helper()
	out := map[string]*Desk{}
	for _, glob := range []string{"../../examples/*.yaml", "../../site/*.yaml", "../../*/testdata/*.yaml", "../../*/*/testdata/*.yaml"} {
		names, err := filepath.Glob(glob)
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range names {
			b, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			var d Desk
			d.Open(name, b, "2026-01-05T07:00:00Z")
			out[strings.TrimPrefix(name, "../../")] = &d
		}
	}
	for _, want := range []string{"examples/compound-a.yaml", "examples/ford-meadow.yaml", "site/starter.yaml", "site/blank.yaml", "plan/testdata/offsets.yaml"} {
		if out[want] == nil {
			t.Errorf("%s is not among the sites looked at", want)
		}
	}
	return out
}

// Every row of every order goes back to the plan: each thing that it names is
// one that the sketch can light, and the count is that of the row or the row
// says how they differ; a row that is nowhere on the plan says so.
func TestEveryRowGoesBackToThePlan(t *testing.T) {
	counted := regexp.MustCompile(`^(\d+) on the plan, (\d+) counted(?:: (\d+) to each)?`)
	rows := 0
	for name, d := range sites(t) {
		known := map[string]bool{}
		for _, x := range things(d.Result()) {
			known[x.ID] = true
		}
		for _, l := range d.Result().Order().Lines {
			rows++
			r := d.servedOf(l)
			seen := map[string]bool{}
			for _, id := range r.For {
				if !known[id] || seen[id] {
					t.Errorf("%s: %s is for %q, which the sketch cannot light once", name, l.Item, id)
				}
				seen[id] = true
			}
			if len(r.For) == 0 != strings.HasPrefix(r.Said, "Not on the plan: ") {
				t.Errorf("%s: %s, for %d things: %s", name, l.Item, len(r.For), r.Said)
			}
			if m := counted.FindStringSubmatch(r.Said); m != nil {
				n, _ := strconv.Atoi(m[1])
				c, _ := strconv.Atoi(m[2])
				if n != len(r.For) || float64(c) != l.Count {
					t.Errorf("%s: %s, %d lit, %g counted: %s", name, l.Item, len(r.For), l.Count, r.Said)
				}
				if m[3] != "" {
					if k, _ := strconv.Atoi(m[3]); k*n != c {
						t.Errorf("%s: %s: %s", name, l.Item, r.Said)
					}
				}
			}
			// Charges, rods, lugs, jumpers, tags and pull points are one to one.
			if strings.HasPrefix(l.Key, "charge/") || strings.HasPrefix(l.Key, "lug/") || strings.HasPrefix(l.Key, "pull/") || l.Key == "jumper" || l.Key == "small/tag" {
				if float64(len(l.For)) != l.Count {
					t.Errorf("%s: %s: %d lit, %g counted", name, l.Item, len(l.For), l.Count)
				}
			}
		}
	}
	if rows < 120 {
		t.Errorf("only %d rows were looked at", rows)
	}
}

// A price that is typed is written by what the row counts, makes the total,
// and is undone to the byte; nothing is ever priced at nothing.
func TestPriceIsTypedAndUndone(t *testing.T) {
	d := open(t, "compound-a.yaml")
	was := string(d.Text())
	none := d.Result().Order().Total
	type typed struct{ key, text, words string }
	amount := 0.0
	var keys []string
	for _, l := range d.Result().Order().Lines {
		if l.Missing == "" && l.Price == nil {
			keys = append(keys, l.Key)
		}
	}
	if len(keys) < 20 {
		t.Fatalf("%d rows without a price", len(keys))
	}
	for _, k := range keys {
		make1(t, d, Gesture{Op: "price", ID: k, Text: "12.50"})
		l := d.Result().Order().Line(k)
		if l.Price == nil || l.Amount <= 0 {
			t.Fatalf("%s: %s", k, l.PriceWords())
		}
		amount += l.Amount
	}
	if d.Result().Diags.HasError() {
		t.Error(d.Result().Diags)
	}
	total := d.Result().Order().Total
	if total.NoPrice != 0 || total.Priced != none.Priced+len(keys) || total.Amount < amount-1e-6 {
		t.Errorf("%+v after %d prices of %g", total, len(keys), amount)
	}
	for _, x := range []typed{
		{"conductor/2 awg solid tinned copper", "1.10", "1.10 per ft"},
		{"charge/45 g", "92.50", "92.50 per pack"},
		{"charge/45 g", "9.25 each", "9.25 each"},
		{"jumper", "18", "18.00 each"},
	} {
		make1(t, d, Gesture{Op: "price", ID: x.key, Text: x.text})
		if got := d.Result().Order().Line(x.key).PriceWords(); got != x.words {
			t.Errorf("%s typed as %q is %q", x.key, x.text, got)
		}
	}
	now := string(d.Text())
	back := make1(t, d, Gesture{Op: "price", ID: "jumper"})
	if got := d.Result().Order().Line("jumper").PriceWords(); got != "no price" {
		t.Errorf("taken out, it is %q", got)
	}
	if _, err := d.Edit(back); err != nil || string(d.Text()) != now {
		t.Errorf("undone otherwise: %v", err)
	}
	for _, bad := range [][2]string{{"jumper", "0"}, {"jumper", "-3"}, {"jumper", "cheap"}, {"jumper", "3 per furlong"}, {"jumper", "3 per ft"}, {"small/pull line", "5 each"}, {"jumper", "3 each\nx: y"}, {"no such row", "3"}} {
		if _, err := d.Edits(Gesture{Op: "price", ID: bad[0], Text: bad[1]}); err == nil {
			t.Errorf("%q was taken as a price of %s", bad[1], bad[0])
		}
	}
	// From no prices at all and back again, to the byte.
	d = open(t, "compound-a.yaml")
	if _, err := d.Edit(make1(t, d, Gesture{Op: "price", ID: "jumper", Text: "18"})); err != nil || string(d.Text()) != was {
		t.Errorf("undone otherwise: %v", err)
	}
}

// tells reports whether a value is among those.
func tells(among []Why, path string) bool {
	return slices.ContainsFunc(among, func(w Why) bool { return w.Value.Path == path })
}

// A number goes back to what it comes from and forward to what hangs on it,
// and the two ways agree; a number that is worked out has an equation or a
// source at its end.
func TestWhyWalksBothWays(t *testing.T) {
	asked := 0
	for name, d := range sites(t) {
		for _, v := range d.Result().Prove().Ledger.All() {
			from, uses, err := d.Why(v.Path)
			if err != nil || len(from) == 0 || from[0].Value.Path != v.Path || from[0].Depth != 0 {
				t.Fatalf("%s: %s: %v", name, v.Path, err)
			}
			asked++
			source := false
			for _, w := range from {
				if w.Value.Cite != nil || w.Value.Standing != "" {
					source = true
				}
				if w.Depth != 1 {
					continue
				}
				_, back, err := d.Why(w.Value.Path)
				if err != nil {
					t.Fatal(err)
				}
				if !tells(back, v.Path) {
					t.Errorf("%s: %s comes from %s, which does not know it", name, v.Path, w.Value.Path)
				}
			}
			if !source {
				t.Errorf("%s: nothing under %s has a source", name, v.Path)
			}
			for _, u := range uses {
				f, _, err := d.Why(u.Value.Path)
				if err != nil {
					t.Fatal(err)
				}
				if !tells(f, v.Path) {
					t.Errorf("%s: %s hangs on %s, which it does not come from", name, u.Value.Path, v.Path)
				}
			}
		}
	}
	if asked < 200 {
		t.Errorf("only %d numbers were asked", asked)
	}
}

// Every finding that is broken or cannot be told says what mends it or which
// input is missing, and where it is.
func TestEveryFindingHasAMend(t *testing.T) {
	looked := 0
	for name, d := range sites(t) {
		var p struct {
			Findings []struct{ Rule, Title, Outcome, Mend, Note, Found, Path string }
		}
		patch, err := d.Stage("prove", true)
		if err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal(patch.Parts["findings"], &p); err != nil {
			t.Fatal(err)
		}
		for _, f := range p.Findings {
			if f.Outcome != "broken" && f.Outcome != "cannot tell" {
				continue
			}
			looked++
			if len(strings.Fields(f.Mend)) < 2 {
				t.Errorf("%s: %s %s: mend %q", name, f.Rule, f.Outcome, f.Mend)
			}
		}
		for _, x := range d.Result().Diags {
			if x.Level == diag.Error && x.Mend == "" {
				t.Errorf("%s: %s has no mend", name, x.What)
			}
		}
	}
	if looked < 10 {
		t.Errorf("only %d findings were looked at", looked)
	}
}
