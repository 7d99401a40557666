package prove_test

import (
	"context"
	"os"
	"slices"
	"strings"
	"testing"

	"stubup/answer"
	"stubup/base/sheet"
	"stubup/plan"
	"stubup/rule"
	"stubup/rule/all"
	"stubup/site"
	"stubup/stage/prove"
)

func proved(t *testing.T, change ...string) prove.Result {
	t.Helper()
	src, err := os.ReadFile("../../examples/compound-a.yaml")
	if err != nil {
		t.Fatal(err)
	}
	text := strings.NewReplacer(change...).Replace(string(src))
	d := site.Load("t", []byte(text))
	for _, x := range d.Diags {
		t.Error(x.Show(d.Src))
	}
	p := plan.Make(d.Site)
	return prove.Make(rule.View{Site: d.Site, Plan: p, Answer: answer.New(context.Background(), p)}, all.Rules())
}

func table(r prove.Result, id string) *sheet.Table {
	i := slices.IndexFunc(r.Tables, func(t sheet.Table) bool { return t.ID == id })
	if i < 0 {
		return nil
	}
	return &r.Tables[i]
}

const layers = "  layers:\n    - resistivity: 100 ohm-m\n  standing: entered\n"

const survey = `  frost: 3 ft
  readings:
    - {line: A, spacing: 5 ft, ohms: 10.4 ohm}
    - {line: A, spacing: 10 ft, ohms: 5.2 ohm}
    - {line: A, spacing: 20 ft, ohms: 2.6 ohm}
    - {line: A, spacing: 40 ft, ohms: 1.3 ohm}
`

// With a survey the verdict says the figure, its band and how likely it meets
// the limit; without one it says that nobody can tell, and makes nothing up.
func TestVerdictOnTheBand(t *testing.T) {
	has := func(r prove.Result, parts ...string) {
		t.Helper()
		if !slices.ContainsFunc(r.Verdict, func(l string) bool {
			return !slices.ContainsFunc(parts, func(p string) bool { return !strings.Contains(l, p) })
		}) {
			t.Errorf("no line with %q in %q", parts, r.Verdict)
		}
	}
	r := proved(t, layers, survey)
	has(r, " ohm at the soil model; 90 % band ", " % likely to meet 5")
	has(r, "over a year ", "(frozen)", "; then 90 % band ")
	b := table(r, "prove.band")
	if b == nil || len(b.Rows) != 1 || table(r, "prove.next-reading") == nil || table(r, "prove.season") == nil {
		t.Fatalf("%+v", b)
	}
	none := proved(t)
	has(none, "band: cannot tell: one number for the soil, no survey")
	if x := table(none, "prove.band"); x == nil || len(x.Rows) != 0 || x.Empty == "" || table(none, "prove.next-reading") != nil {
		t.Errorf("%+v", x)
	}
	// Every rod is a row of its own.
	logs := "state:\n  rods:\n    - rod: R1\n      log: [{driven: 4 ft, ohms: 57.8 ohm}, {driven: 8 ft, ohms: 33.5 ohm}]\n    - rod: R3\n      log: [{driven: 8 ft, ohms: 34.7 ohm}]\nsupplies:\n"
	two := table(proved(t, layers, survey, "supplies:\n", logs), "prove.band")
	if len(two.Rows) != 3 || !strings.HasPrefix(two.Rows[1][0].Text, "After rod R1: ") || !strings.HasPrefix(two.Rows[2][0].Text, "After rod R3: the survey and the log of R1 and R3") {
		t.Errorf("%+v", two.Rows)
	}
}
