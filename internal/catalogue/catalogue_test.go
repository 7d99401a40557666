package catalogue

import (
	"math"
	"os"
	"testing"

	"stubup/base/trace"
)

func TestEveryFormulaCanBeChecked(t *testing.T) {
	seen := map[string]bool{}
	for _, g := range Formulas() {
		if len(g.Formulas) == 0 {
			t.Errorf("%s exports no formula", g.Package)
		}
		for _, f := range g.Formulas {
			if seen[f.ID] {
				t.Errorf("%s stands twice", f.ID)
			}
			seen[f.ID] = true
			if f.ID == "" || f.Name == "" || f.Equation == "" || f.Range == "" || f.Cite.IsZero() || len(f.Symbols) < 2 {
				t.Errorf("%s is not fully described", f.ID)
			}
			for _, s := range f.Symbols {
				if s.Sym == "" || s.Meaning == "" || s.Unit == "" {
					t.Errorf("%s: symbol %q has no meaning or no unit", f.ID, s.Sym)
				}
			}
			foreign := false
			for _, c := range f.Checks {
				foreign = foreign || !c.Ours
				if !holds(c) {
					t.Errorf("%s: %s gives %v, want %v", f.ID, c.Name, c.Got(), c.Want)
				}
				if c.Source.IsZero() {
					t.Errorf("%s: check %q names no source", f.ID, c.Name)
				}
			}
			if !foreign {
				t.Errorf("%s has no check but our own", f.ID)
			}
		}
	}
}

func holds(c trace.Check) bool {
	got := c.Got()
	tol := c.Tol
	if !c.Abs {
		tol *= math.Abs(c.Want)
	}
	return math.Abs(got-c.Want) <= tol
}

// The generated pages say what the code says. UPDATE_DOCS=1 rewrites them.
func TestPages(t *testing.T) {
	for path, want := range map[string]string{"../../docs/formulas.md": FormulaPage(), "../../docs/rules.md": RulePage(), "../../docs/sums.md": SumPage()} {
		if os.Getenv("UPDATE_DOCS") != "" {
			if err := os.WriteFile(path, []byte(want), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		got, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if string(got) != want {
			t.Errorf("%s is stale: run UPDATE_DOCS=1 go test ./internal/catalogue", path)
		}
	}
}
