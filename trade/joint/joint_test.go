package joint

import (
	"crypto/sha256"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"stubup/trade/conductor"
)

func bare(t *testing.T, s string) conductor.Bare {
	t.Helper()
	b, err := conductor.ParseBare(s)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestTableIsPinned(t *testing.T) {
	text, err := os.ReadFile("tables/practice.csv")
	if err != nil {
		t.Fatal(err)
	}
	const want = "6a5caf6c6e81544394734aa5273f512b893ae5eb0229e2dcd9cb62d1aa13d098"
	if got := fmt.Sprintf("%x", sha256.Sum256(text)); got != want {
		t.Errorf("practice.csv: %s is not the verified hash", got)
	}
	for _, r := range practice().Rows {
		if v, ok := practice().Num(r[0], "value"); !ok || v <= 0 {
			t.Errorf("%s: %v", r[0], v)
		}
	}
}

// The molds of a compound with 44 welds, counted by hand: tap 1 (whips on the
// ring and on a tower ring of the same conductor), rod 1, splice 1, pipe 3 by
// outside diameter, flat 1.
func TestMoldKindsOfACompound(t *testing.T) {
	c := bare(t, "2 AWG solid tinned copper")
	type weld struct {
		k    Kind
		item Item
		n    int
	}
	count := map[Mold]int{}
	all := 0
	for _, w := range []weld{
		{Tap, ConductorItem(c), 21},
		{Tap, ConductorItem(bare(t, "2 AWG solid bare copper")), 2},
		{RodThrough, Item{Size: "5/8 in"}, 6},
		{Splice, Item{}, 1},
		{Pipe, Item{Size: "2-7/8 in"}, 4},
		{Pipe, Item{Size: "4 in"}, 2},
		{Pipe, Item{Size: "3-1/2 in"}, 4},
		{Flat, Item{}, 4},
	} {
		m, err := MoldFor(w.k, c, w.item, AnyWay)
		if err != nil {
			t.Fatal(w, err)
		}
		count[m] += w.n
		all += w.n
	}
	if len(count) != 7 || all != 44 {
		t.Errorf("%d molds for %d welds: %v", len(count), all, count)
	}
	keys := map[string]bool{}
	for m := range count {
		keys[m.Key()] = true
	}
	if len(keys) != 7 {
		t.Errorf("keys are not unique: %v", keys)
	}
	tap, _ := MoldFor(Tap, c, ConductorItem(c), AnyWay)
	if count[tap] != 23 {
		t.Errorf("%d taps", count[tap])
	}
}

func TestMoldRefuses(t *testing.T) {
	c := bare(t, "2 AWG solid tinned copper")
	if _, err := MoldFor(Pipe, c, Item{}, AnyWay); err == nil || !strings.Contains(err.Error(), "measure") {
		t.Errorf("a pipe without a diameter: %v", err)
	}
	if _, err := MoldFor(Tap, c, Item{}, AnyWay); err == nil {
		t.Error("a tap on a conductor nobody has measured")
	}
	if _, err := MoldFor(Tap, c, Item{What: Rod, Size: "5/8 in"}, AnyWay); err == nil {
		t.Error("a tap on a rod")
	}
	if _, err := MoldFor(Lug, c, Item{}, AnyWay); err == nil {
		t.Error("a lug has a mold")
	}
	if _, err := MoldFor(Tap, conductor.Bare{}, ConductorItem(c), AnyWay); err == nil {
		t.Error("no conductor")
	}
	a, _ := MoldFor(Tap, c, ConductorItem(c), AnyWay)
	b, _ := MoldFor(Tap, bare(t, "2 AWG stranded copper"), ConductorItem(c), AnyWay)
	v, _ := MoldFor(Tap, c, ConductorItem(c), Vertical)
	if a == b || a == v || a.Key() == b.Key() || a.Key() == v.Key() {
		t.Error("solid and stranded, or two positions, share a mold")
	}
	if d, _ := MoldFor(Tap, bare(t, "2 AWG solid bare copper"), ConductorItem(c), AnyWay); d != a {
		t.Error("tin makes another mold")
	}
}

// A charge comes from the tag and from nowhere else.
func TestChargeIsNeverAssumed(t *testing.T) {
	c := bare(t, "2 AWG solid tinned copper")
	m, _ := MoldFor(Tap, c, ConductorItem(c), AnyWay)
	if got, ok := Tags(nil).ChargeOf(m); ok || got.Grams != 0 {
		t.Errorf("assumed %v", got)
	}
	if got, ok := (Tags{m.Key(): {}}).ChargeOf(m); ok {
		t.Errorf("an empty tag gives %v", got)
	}
	got, ok := Tags{m.Key(): {Grams: 65, Tag: "65"}}.ChargeOf(m)
	if !ok || got.String() != "65 g" {
		t.Errorf("%v", got)
	}
	if (Charge{}).String() == "0 g" {
		t.Error("no charge prints as zero grams")
	}
}

// 45 g for a 2 AWG run and tap, 90 g for 2 AWG through to a 5/8 in rod:
// common practice, no source.
func TestHints(t *testing.T) {
	c := bare(t, "2 AWG solid tinned copper")
	h, ok := HintFor(Tap, c, ConductorItem(c))
	if !ok || h.Grams != 45 || !strings.Contains(h.Cite.Work, "practice") {
		t.Errorf("%+v", h)
	}
	h, ok = HintFor(RodThrough, c, Item{What: Rod, Size: "5/8 in"})
	if !ok || h.Grams != 90 {
		t.Errorf("%+v", h)
	}
	for _, bad := range []struct {
		k Kind
		i Item
	}{{RodThrough, Item{Size: "3/4 in"}}, {Pipe, Item{Size: "4 in"}}, {Tap, ConductorItem(bare(t, "4/0 AWG stranded copper"))}} {
		if h, ok := HintFor(bad.k, c, bad.i); ok {
			t.Errorf("%v: %+v", bad, h)
		}
	}
	if _, ok := HintFor(Tap, bare(t, "4/0 AWG stranded copper"), ConductorItem(c)); ok {
		t.Error("4/0 has a hint")
	}
	if s, w, _ := Life(); s != 50 || w != 45 {
		t.Error(s, w)
	}
	if a, b, _ := PerDay(); a != 20 || b != 40 {
		t.Error(a, b)
	}
}

func TestKinds(t *testing.T) {
	for _, k := range Kinds() {
		if got, err := ParseKind(string(k)); err != nil || got != k {
			t.Error(k, err)
		}
		if k.Welded() != (k.ItemKind() != "") || k.Welded() != k.Irreversible() {
			t.Errorf("%s: welded %v, item %q", k, k.Welded(), k.ItemKind())
		}
	}
	if _, err := ParseKind("glue"); err == nil {
		t.Error("glue is a joint")
	}
	if Kind("glue").Welded() {
		t.Error("glue is welded")
	}
	if slices.Contains(Kinds(), "") {
		t.Error("an empty kind")
	}
}

func TestCautionsAreShort(t *testing.T) {
	for _, c := range Cautions() {
		if c.When == "" || c.Words == "" || len(c.Words) > 120 {
			t.Errorf("%+v", c)
		}
	}
}
