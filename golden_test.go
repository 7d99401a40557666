package stubup_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"stubup"
	"stubup/rule"
)

const asOf = "2026-01-05T07:00:00Z"

func evaluate(t testing.TB, path string) *stubup.Result {
	t.Helper()
	src, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return stubup.Evaluate(context.Background(), stubup.Input{Name: filepath.Base(path), Site: src, AsOf: asOf})
}

// report is everything that a change of the engine could move, in few lines.
func report(r *stubup.Result) string {
	var b strings.Builder
	head := func(s string) { fmt.Fprintf(&b, "\n-- %s --\n", s) }
	fmt.Fprintf(&b, "%s\n", r.Input.Name)
	head("diags")
	for _, d := range r.Diags {
		fmt.Fprintf(&b, "%s [%s]\n", d, d.Code)
	}
	head("layout")
	for _, s := range r.Layout().Summary {
		fmt.Fprintln(&b, s)
	}
	head("points")
	for _, p := range r.Plan.Points {
		fmt.Fprintf(&b, "%s | %s | %s | %s\n", p.ID, p.Kind, p.What, p.Place)
	}
	head("prove")
	for _, s := range r.Prove().Verdict {
		fmt.Fprintln(&b, s)
	}
	for _, f := range r.Prove().Findings {
		fmt.Fprintf(&b, "%s | %s | %s | wanted %s | found %s | %s\n", f.Outcome, f.Rule.ID, f.Path, f.Required, f.Found, f.Margin)
	}
	for _, v := range r.Prove().Ledger.All() {
		if v.By.Equation != "" {
			fmt.Fprintf(&b, "%s = %s (%s)\n", v.Path, v.Text, v.Standing)
		}
	}
	head("order")
	for _, s := range r.Order().Text {
		fmt.Fprintln(&b, s)
	}
	for _, l := range r.Order().Lines {
		fmt.Fprintf(&b, "%s | %s | %g %s | %s | %s\n", l.Group, l.Item, l.Quantity, l.Unit, l.Sum, l.Missing)
	}
	head("work")
	for _, s := range r.Work().Text {
		fmt.Fprintln(&b, s)
	}
	head("handover")
	for _, o := range r.Handover().Open {
		fmt.Fprintf(&b, "%s | %s | %s\n", o.What, o.Where, o.Do)
	}
	return b.String()
}

// Golden results are read as a difference before they are committed. They pin
// our own output; the checks against foreign sources stand beside the code.
func TestGolden(t *testing.T) {
	sites, err := filepath.Glob("examples/*.yaml")
	if err != nil || len(sites) < 3 {
		t.Fatalf("found %d examples: %v", len(sites), err)
	}
	for _, path := range sites {
		t.Run(filepath.Base(path), func(t *testing.T) {
			got := report(evaluate(t, path))
			golden := strings.TrimSuffix(path, ".yaml") + ".golden"
			if os.Getenv("UPDATE_GOLDEN") != "" {
				if err := os.WriteFile(golden, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(golden)
			if err != nil {
				t.Fatal(err)
			}
			if d := cmp.Diff(strings.Split(string(want), "\n"), strings.Split(got, "\n")); d != "" {
				t.Errorf("%s differs (-want +got); \"make golden\" rewrites it:\n%s", golden, d)
			}
		})
	}
}

// The same input gives the same result, whatever was evaluated in between.
func TestSameInputSameResult(t *testing.T) {
	a := report(evaluate(t, "examples/compound-a.yaml"))
	report(evaluate(t, "examples/fiber-entry.yaml"))
	if b := report(evaluate(t, "examples/compound-a.yaml")); a != b {
		t.Error(cmp.Diff(strings.Split(a, "\n"), strings.Split(b, "\n")))
	}
}

// The reference compound's figures, front to end.
func TestReferenceCompound(t *testing.T) {
	r := evaluate(t, "examples/compound-a.yaml")
	if len(r.Diags) > 0 {
		t.Errorf("diags: %v", r.Diags)
	}
	for _, f := range r.Prove().Findings {
		if f.Outcome == rule.Broken && f.Rule.Force == rule.Shall {
			t.Errorf("broken: %s at %s: wanted %s, found %s", f.Rule.ID, f.Path, f.Required, f.Found)
		}
	}
	v := r.Prove().Resistance
	if !v.OK() || v.Value.SI < 4.68*0.98 || v.Value.SI > 4.68*1.02 {
		t.Errorf("resistance %+v, want 4.68 within 2 %%", v)
	}
	want := "limit 5: holds by 6 %; margin too small for the season"
	if !strings.Contains(r.Prove().Verdict[0], want) {
		t.Errorf("verdict %q does not say %q", r.Prove().Verdict[0], want)
	}
}

// A hundred random edits of the reference compound, text and all: no stage
// panics or hangs, whatever is left of the document.
func TestRandomEditsThroughAllStages(t *testing.T) {
	src, err := os.ReadFile("examples/compound-a.yaml")
	if err != nil {
		t.Fatal(err)
	}
	rnd := rand.New(rand.NewPCG(7, 7))
	bits := []string{"0", "-1 ft", "1e300 ft", ".nan", "[]", "{}", "fence", "yes", "400 ft", "[[0, 0], [0, 0]]", "0.01 in", "every fence post", "[20, 2]", "11 ohm"}
	for n := range 100 {
		lines := strings.Split(string(src), "\n")
		for range 1 + rnd.IntN(3) {
			i := rnd.IntN(len(lines))
			switch rnd.IntN(3) {
			case 0:
				lines = slices.Delete(lines, i, i+1)
			case 1:
				lines = slices.Insert(lines, i, lines[rnd.IntN(len(lines))])
			default:
				if k, _, ok := strings.Cut(lines[i], ": "); ok {
					lines[i] = k + ": " + bits[rnd.IntN(len(bits))]
				}
			}
		}
		text := strings.Join(lines, "\n")
		ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
		r := stubup.Evaluate(ctx, stubup.Input{Name: "edited.yaml", Site: []byte(text), AsOf: asOf})
		rep := report(r)
		if ctx.Err() != nil {
			t.Errorf("edit %d hangs:\n%s", n, text)
		}
		cancel()
		if strings.Contains(rep, "NaN") || strings.Contains(rep, "Inf ") {
			t.Errorf("edit %d prints a number that is none:\n%s", n, rep)
		}
	}
}

func BenchmarkEvaluateAllStages(b *testing.B) {
	src, err := os.ReadFile("examples/compound-a.yaml")
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		r := stubup.Evaluate(context.Background(), stubup.Input{Name: "compound-a.yaml", Site: src, AsOf: asOf})
		r.Layout()
		r.Prove()
		r.Order()
		r.Work()
		r.Handover()
	}
}
