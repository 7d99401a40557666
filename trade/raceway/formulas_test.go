package raceway

import (
	"math"
	"testing"
)

func TestFormulas(t *testing.T) {
	seen := map[string]bool{}
	for _, f := range Formulas {
		if seen[f.ID] || f.ID == "" || f.Name == "" || f.Equation == "" || f.Range == "" || f.Cite.IsZero() || f.Cite.Place == "" {
			t.Errorf("%s: twice or not fully described", f.ID)
		}
		seen[f.ID] = true
		for _, s := range f.Symbols {
			if s.Sym == "" || s.Meaning == "" || s.Unit == "" {
				t.Errorf("%s: symbol %q lacks its meaning or unit", f.ID, s.Sym)
			}
		}
		foreign := false
		for _, c := range f.Checks {
			foreign = foreign || !c.Ours && !c.Source.IsZero()
			tol := c.Tol
			if !c.Abs {
				tol *= math.Abs(c.Want)
			}
			if got := c.Got(); !(math.Abs(got-c.Want) <= tol) {
				t.Errorf("%s, %s: %v, want %v within %v", f.ID, c.Name, got, c.Want, tol)
			}
		}
		if !foreign {
			t.Errorf("%s: no check from outside", f.ID)
		}
	}
}
