package sign

import (
	"testing"

	"stubup/base/sheet"
)

func TestSaid(t *testing.T) {
	for _, c := range []struct {
		text string
		mark sheet.Mark
		want string
	}{
		{"4.68 ohm", sheet.Plain, "4.68 ohm"},
		{"225 of 180", sheet.Broken, "broken: 225 of 180"},
		{"holds by 6 %", sheet.Holds, "holds by 6 %"},
		{"Holds.", sheet.Holds, "Holds."},
		{"the threshold", sheet.Hold, "HOLD: the threshold"},
		{"unbroken", sheet.Broken, "broken: unbroken"},
		{"cannot tell: no frost depth", sheet.CannotTell, "cannot tell: no frost depth"},
		{" ", sheet.NotApply, "does not apply"},
	} {
		if got := Said(c.text, c.mark); got != c.want {
			t.Errorf("Said(%q, %d) = %q, want %q", c.text, c.mark, got, c.want)
		}
	}
}

// No two marks share a word or a sign: a grey print tells them apart.
func TestSignsDiffer(t *testing.T) {
	words, signs := map[string]bool{}, map[string]bool{}
	for m := sheet.Holds; m <= sheet.Hold; m++ {
		if Word(m) == "" || words[Word(m)] || ASCII(m) == "" || signs[ASCII(m)] {
			t.Errorf("mark %d: word %q, sign %q", m, Word(m), ASCII(m))
		}
		words[Word(m)], signs[ASCII(m)] = true, true
	}
}
