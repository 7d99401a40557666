package unit

import (
	"fmt"
	"slices"
	"strings"
)

// Wire is a conductor size of the American wire gauge or in kcmil. The zero
// value is no size. Larger values are thicker conductors.
type Wire uint8

var wireNames = []string{
	"", "18", "16", "14", "12", "10", "8", "6", "4", "3", "2", "1", "1/0", "2/0", "3/0", "4/0",
	"250", "300", "350", "400", "500", "600", "700", "750", "800", "900", "1000", "1250", "1500", "1750", "2000",
}

const firstKcmil = 16 // index of "250"

// ParseWire reads "2 AWG", "2", "1/0", "4/0 AWG", "250 kcmil".
func ParseWire(s string) (Wire, error) {
	t := strings.TrimSpace(s)
	kcmil := false
	if r, ok := strings.CutSuffix(t, "kcmil"); ok {
		t, kcmil = strings.TrimSpace(r), true
	} else if r, ok := strings.CutSuffix(t, "AWG"); ok {
		t = strings.TrimSpace(r)
	}
	i := slices.Index(wireNames[1:], t) + 1
	if i == 0 || (kcmil && i < firstKcmil) || (strings.HasSuffix(s, "AWG") && i >= firstKcmil) {
		return 0, fmt.Errorf("%q is not a wire size", s)
	}
	return Wire(i), nil
}

// Name returns the bare designator as tables key it: "2", "1/0", "250".
func (w Wire) Name() string {
	if int(w) >= len(wireNames) {
		return ""
	}
	return wireNames[w]
}

// String returns "2 AWG" or "250 kcmil".
func (w Wire) String() string {
	switch {
	case w == 0 || int(w) >= len(wireNames):
		return "no size"
	case w >= firstKcmil:
		return wireNames[w] + " kcmil"
	}
	return wireNames[w] + " AWG"
}

// Wires lists every size, thinnest first.
func Wires() []Wire {
	out := make([]Wire, 0, len(wireNames)-1)
	for i := 1; i < len(wireNames); i++ {
		out = append(out, Wire(i))
	}
	return out
}

// Trade is the trade size of a raceway: a designator, in inches by name only.
// The zero value is no size.
type Trade uint8

var tradeNames = []string{"", "3/8", "1/2", "3/4", "1", "1-1/4", "1-1/2", "2", "2-1/2", "3", "3-1/2", "4", "5", "6"}

var tradeInches = []float64{0, 0.375, 0.5, 0.75, 1, 1.25, 1.5, 2, 2.5, 3, 3.5, 4, 5, 6}

// ParseTrade reads "2-1/2", "2 1/2", "2.5", with or without "in".
func ParseTrade(s string) (Trade, error) {
	t := strings.TrimSpace(strings.TrimSuffix(strings.TrimSuffix(strings.TrimSpace(s), "in"), `"`))
	if i := slices.Index(tradeNames[1:], strings.ReplaceAll(t, " ", "-")) + 1; i > 0 {
		return Trade(i), nil
	}
	if v, rest, ok := leadingNumber(t); ok && rest == "" {
		if i := slices.Index(tradeInches[1:], v) + 1; i > 0 {
			return Trade(i), nil
		}
	}
	return 0, fmt.Errorf("%q is not a trade size", s)
}

// Name returns the designator as tables key it: "2-1/2".
func (t Trade) Name() string {
	if int(t) >= len(tradeNames) {
		return ""
	}
	return tradeNames[t]
}

// String returns the designator with its inch mark in words.
func (t Trade) String() string {
	if t == 0 {
		return "no size"
	}
	return t.Name() + " in"
}

// Nominal returns the number of inches in the name: what "8 times the trade
// size" multiplies. It is no dimension of the pipe.
func (t Trade) Nominal() float64 {
	if int(t) >= len(tradeInches) {
		return 0
	}
	return tradeInches[t]
}

// Trades lists every trade size, smallest first.
func Trades() []Trade {
	out := make([]Trade, 0, len(tradeNames)-1)
	for i := 1; i < len(tradeNames); i++ {
		out = append(out, Trade(i))
	}
	return out
}
