package stable

import (
	"cmp"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// Beside the library's own stable sort, on keys of which many are equal.
func TestSort(t *testing.T) {
	type row struct{ key, n int }
	rapid.Check(t, func(t *rapid.T) {
		keys := rapid.SliceOf(rapid.IntRange(0, 5)).Draw(t, "keys")
		var got []row
		for n, k := range keys {
			got = append(got, row{k, n})
		}
		want := slices.Clone(got)
		by := func(a, b row) int { return cmp.Compare(a.key, b.key) }
		Sort(got, by)
		slices.SortStableFunc(want, by)
		if !slices.Equal(got, want) {
			t.Errorf("%v, wanted %v", got, want)
		}
	})
}
