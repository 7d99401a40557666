package soil

import "testing"

func TestFormulas(t *testing.T) {
	for _, f := range Formulas {
		if f.ID == "" || f.Equation == "" || f.Cite.IsZero() || f.Range == "" || len(f.Checks) == 0 || len(f.Symbols) < 2 {
			t.Errorf("%s is not complete", f.ID)
		}
		for _, c := range f.Checks {
			if got := c.Got(); !(rel(got, c.Want) <= c.Tol) {
				t.Errorf("%s, %s: %v, want %v within %v (%s)", f.ID, c.Name, got, c.Want, c.Tol, c.Source)
			}
		}
	}
}
