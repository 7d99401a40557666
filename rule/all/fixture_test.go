package all_test

import (
	"context"
	"strings"
	"testing"

	"stubup/answer"
	"stubup/base/diag"
	"stubup/plan"
	"stubup/rule"
	"stubup/rule/all"
	"stubup/site"
)

// What a case shows of its rule.
const (
	good    = "good"
	bad     = "bad"
	limit   = "limit"   // exactly at the figure; for a yes/no rule a second good one
	untold  = "untold"  // an input is missing
	outside = "outside" // the rule does not apply
)

// fixture is a small site and what one rule must say of it.
type fixture struct {
	rule, kind string
	doc        string
	edit       func(*rule.View) // for what no document can say
	want       rule.Outcome
	path       string // part of the path of the finding that decides
	says       string // part of what that finding prints
}

// change replaces parts of a document; a part that is not there is a fault of
// the test.
func change(doc string, pairs ...string) string {
	for i := 0; i < len(pairs); i += 2 {
		if strings.Count(doc, pairs[i]) != 1 {
			panic("the part " + pairs[i] + " is not once in the document")
		}
		doc = strings.Replace(doc, pairs[i], pairs[i+1], 1)
	}
	return doc
}

const head = `format: 1
name: a site of tests
units: us
grid: ft
governs:
  work: nfpa-70
adopted:
  - nfpa-70 2023
  - nfpa-780 2023
  - tia-569 D
  - iec-62305-3 2010
  - mil-hdbk-419a 1987
  - good-practice
`

// yard is a ring of 36 x 26 ft inside a fence, with six rods.
const yard = head + `soil:
  layers:
    - resistivity: 100 ohm-m
  source: a survey
  frost: 24 in
objects:
  fence:
    kind: fence
    corners: [[0, 0], [40, 0], [40, 30], [0, 30]]
    posts: {corner: 2-7/8 in, gate: 4 in, line: 2-3/8 in, spacing: 10 ft}
    gates:
      - from: [0, 21]
        to: [0, 9]
        leaves: 2
    over-1000-v: no
  bar:
    kind: bar
    lugs: [[20, 22]]
ground:
  conductor: 2 AWG solid tinned copper
  stub-up: 18 in
  ring:
    inside: fence
    distance: 2 ft
    depth: 30 in
    corner-radius: 8 in
  rods:
    diameter: 5/8 in
    length: 8 ft
    places:
      - corners
      - [20, 2]
      - [20, 28]
  whips:
    - to: fence corner posts
      end: pipe
    - to: fence gate posts
      end: pipe
    - to: bar lugs
      end: lug
  jumpers:
    - gates of: fence
`

// pathway is one run of PVC; its carries, path and service are changed by the
// cases.
const pathway = head + `runs:
  one:
    service: power
    raceway: PVC-40 2 in
    carries:
      - 3 x 3/0 THWN-2
      - 1 x 6 THWN-2 egc
    start: [0, 0, -3]
    heading: east
    path:
      - straight: 20 ft
        in: trench
`

func owner(rules string) string {
	return "owner:\n  name: the owner's standard\n  rules:\n    - " + strings.ReplaceAll(rules, "\n", "\n      ") + "\n      source: owner's standard, section 1\n"
}

// view loads a fixture. Cases about broken documents may have diags; the rest
// must not.
func view(t testing.TB, doc string, edit func(*rule.View)) rule.View {
	t.Helper()
	d := site.Load("case.yaml", []byte(doc))
	for _, x := range d.Diags {
		if x.Level == diag.Error {
			t.Errorf("the document of the case is wrong: %s", x.Show([]byte(doc)))
		}
	}
	p := plan.Make(d.Site)
	v := rule.View{Site: d.Site, Plan: p}
	if edit != nil {
		edit(&v)
	}
	v.Answer = answer.New(context.Background(), v.Plan)
	return v
}

// decides returns the most urgent finding of one rule at a path.
func decides(fs []rule.Finding, id, path string) *rule.Finding {
	for i := range fs {
		if fs[i].Rule.ID == id && strings.Contains(fs[i].Path, path) {
			return &fs[i]
		}
	}
	return nil
}

func byID(id string) []*rule.Rule {
	for _, r := range all.Rules() {
		if r.ID == id {
			return []*rule.Rule{r}
		}
	}
	return nil
}

func TestFixtures(t *testing.T) {
	for _, c := range fixtures {
		t.Run(c.rule+"/"+c.kind, func(t *testing.T) {
			rs := byID(c.rule)
			if rs == nil {
				t.Fatalf("there is no rule %s", c.rule)
			}
			v := view(t, c.doc, c.edit)
			f := decides(rule.Run(v, rs), c.rule, c.path)
			if f == nil {
				t.Fatalf("no finding at %q", c.path)
			}
			if f.Outcome != c.want {
				t.Errorf("%s at %s: required %q, found %q, note %q, mend %q; want %s", f.Outcome, f.Path, f.Required, f.Found, f.Note, f.Mend, c.want)
			}
			if f.Outcome == rule.Broken || f.Outcome == rule.CannotTell {
				if f.Mend == "" || f.Required == "" || f.Found == "" {
					t.Errorf("it lacks words: %+v", *f)
				}
			}
			if c.says != "" && !strings.Contains(strings.Join([]string{f.Required, f.Found, f.Margin, f.Note, f.Mend}, "\n"), c.says) {
				t.Errorf("it does not say %q: %+v", c.says, *f)
			}
		})
	}
}

// TestEveryRuleHasItsCases wants at least four cases of every rule: good, bad,
// at the limit, cannot tell.
func TestEveryRuleHasItsCases(t *testing.T) {
	have := map[string]map[string]int{}
	for _, c := range fixtures {
		if have[c.rule] == nil {
			have[c.rule] = map[string]int{}
		}
		have[c.rule][c.kind]++
		want := map[string]rule.Outcome{good: rule.Holds, bad: rule.Broken, limit: rule.Holds, untold: rule.CannotTell, outside: rule.NotApply}
		if c.want != want[c.kind] {
			t.Errorf("%s: a %s case wants %s", c.rule, c.kind, c.want)
		}
	}
	for _, r := range all.Rules() {
		n := 0
		for _, k := range []string{good, bad, limit, untold} {
			if have[r.ID][k] == 0 {
				t.Errorf("%s has no %s case", r.ID, k)
			}
		}
		for _, k := range have[r.ID] {
			n += k
		}
		if n < 4 {
			t.Errorf("%s has %d cases, not four", r.ID, n)
		}
	}
}
