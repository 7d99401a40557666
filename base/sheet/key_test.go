package sheet

import (
	"regexp"
	"testing"
)

func TestKeysAreApart(t *testing.T) {
	for name, want := range map[string]string{"fiber 1": "fiber-1", "T1": "T1", "R": "R", "": ""} {
		if got := Key(name); got != want {
			t.Errorf("%q: %q, wanted %q", name, got, want)
		}
	}
	was := map[string]string{}
	for _, name := range []string{"fiber 1", "fiber-1", "fiber/1", "fiber.1", "fiber\t1", "fiber ñ", "fiber ó", "../fiber 1", "Faser 1", "fiber  1"} {
		k := Key(name)
		if !regexp.MustCompile(`^[A-Za-z0-9-]+$`).MatchString(k) {
			t.Errorf("%q: %q is no part of a file's name everywhere", name, k)
		}
		if other, twice := was[k]; twice {
			t.Errorf("%q and %q are both %q", name, other, k)
		}
		was[k] = name
	}
}
