package raceway

import (
	"os"
	"strconv"
	"strings"
	"testing"

	"stubup/trade/conductor"
)

// TestAnnexC reproduces every count that an independent program derived by the
// rule that gives 1,153 of 1,158 published Annex C counts (NFPA 70). The five
// published counts that differ stand on one page with dropped cells.
func TestAnnexC(t *testing.T) {
	text, err := os.ReadFile("testdata/annexc.txt")
	if err != nil {
		t.Fatal(err)
	}
	names := map[string]conductor.Insulation{"THHN": conductor.THHN, "XHHW": conductor.XHHW, "THW": conductor.THW, "RHW_cover": conductor.RHWCover, "RHW_nocover": conductor.RHW}
	cells, near := 0, 0
	for _, line := range strings.Split(strings.TrimSpace(string(text)), "\n") {
		if strings.HasPrefix(line, "#") {
			continue
		}
		head, counts, ok := strings.Cut(line, ": ")
		h := strings.Split(head, ",")
		if !ok || len(h) != 3 {
			t.Fatal(line)
		}
		k := Kind(h[0])
		c := conductor.Insulated{Size: wire(h[2]), Insulation: names[h[1]]}
		_, a, _, ok := c.Dimensions()
		if !ok {
			t.Fatalf("%v is not carried", c)
		}
		want := strings.Fields(counts)
		sizes := Sizes(k)
		if len(want) != len(sizes) {
			t.Fatalf("%s: %d counts for %d sizes", head, len(want), len(sizes))
		}
		for i, s := range sizes {
			n, ratio, ok := MaxCount(k, s, a)
			w, err := strconv.Atoi(want[i])
			if err != nil || !ok {
				t.Fatal(line)
			}
			cells++
			if borderline(ratio, 0.8) {
				near++
			}
			if n != w {
				t.Errorf("%s in %v: %d (ratio %.4f), want %d", head, s, n, ratio, w)
			}
		}
	}
	if cells != 11560 {
		t.Errorf("%d cells, 11560 were copied", cells)
	}
	t.Logf("%d cells, %d within 0.02 of the rounding", cells, near)
}
