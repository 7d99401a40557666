package plan_test

import (
	"os"
	"strings"
	"testing"

	"stubup/base/diag"
	"stubup/plan"
	"stubup/site"
)

// Metal that touches without a joint is told, each with its mend; the same
// metal laid apart is not.
func TestTouching(t *testing.T) {
	src, err := os.ReadFile("../examples/compound-a.yaml")
	if err != nil {
		t.Fatal(err)
	}
	const radials, jumpers = "  radials:\n    - from: [2, 2]\n      toward: ", "  jumpers:\n    - gates of"
	old := func(x string) string {
		return "  found:\n    kind: ring\n    existing: seen today\n    conductor: 2 AWG solid tinned copper\n    depth: 30 in\n    corners: [[" + x + ", -10], [60, -10], [60, 12], [" + x + ", 12]]\n"
	}
	for _, c := range []struct {
		name, old, new string
		level          diag.Level
		says           string // "" for none
	}{
		{"along the ring", jumpers, radials + "[38, 2]\n      length: 20 ft\n" + jumpers, diag.Error, "lies along the ring for 19"},
		{"out from the corner", jumpers, radials + "[-18, -18]\n      length: 20 ft\n" + jumpers, 0, ""},
		{"across the ring", jumpers, radials + "[38, 14]\n      length: 60 ft\n" + jumpers, diag.Warning, "crosses the ring"},
		{"short of the ring", jumpers, radials + "[38, 14]\n      length: 20 ft\n" + jumpers, 0, ""},
		{"over a found ring", "  tower-ring:\n", old("30") + "  tower-ring:\n", diag.Warning, "the ring crosses found"},
		{"beside a found ring", "  tower-ring:\n", old("44") + "  tower-ring:\n", 0, ""},
	} {
		text := strings.Replace(string(src), c.old, c.new, 1)
		d := site.Load("t", []byte(text))
		if d.Diags.HasError() {
			t.Fatal(c.name, d.Diags)
		}
		var got *diag.Diag
		for _, x := range plan.Make(d.Site).Diags {
			if x.Code == diag.Touching {
				got = &x
			}
		}
		switch {
		case c.says == "" && got != nil:
			t.Errorf("%s: %s", c.name, got.What)
		case c.says != "" && (got == nil || got.Level != c.level || !strings.Contains(got.What, c.says) || got.Mend == ""):
			t.Errorf("%s: %+v", c.name, got)
		}
	}
}

// A run that comes back through itself is told; one that passes beside itself,
// or turns round in a right angle or two, is not.
func TestRunThroughItself(t *testing.T) {
	const head = "format: 1\nname: t\nunits: us\ngrid: ft\nruns:\n  fiber 1:\n    service: fiber\n    raceway: PVC-40 2 in\n    start: [0, 0, -2]\n    heading: east\n    path:\n"
	leg := func(l string) string { return "      - straight: " + l + "\n        in: trench\n" }
	turn := func(side string) string { return "      - bend: 90 " + side + "\n        radius: 18 in\n" }
	loop := func(last string) string {
		return head + leg("20 ft") + turn("left") + leg("5 ft") + turn("left") + leg("5 ft") + turn("left") + leg(last)
	}
	for doc, want := range map[string]bool{
		loop("20 ft"): true,
		loop("2 ft"):  false,
		head + leg("20 ft") + turn("left") + leg("1 ft") + turn("left") + leg("20 ft"):  false,
		head + leg("20 ft") + turn("left") + leg("1 ft") + turn("right") + leg("20 ft"): false,
		head + leg("10 ft") + turn("up") + leg("1 in") + turn("down") + leg("10 ft"):    false,
	} {
		d := site.Load("t", []byte(doc))
		if d.Diags.HasError() {
			t.Fatal(d.Diags)
		}
		got := false
		for _, x := range plan.Make(d.Site).Diags {
			got = got || x.Code == diag.Crossing
		}
		if got != want {
			t.Errorf("told %v, want %v:\n%s", got, want, doc)
		}
	}
}
