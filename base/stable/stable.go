// Package stable sorts. A generic sort is compiled once for every type that
// it meets; here it is compiled once in all, which the browser's engine sees
// in its size (0.2 MB of 3.7 sent).
package stable

import (
	"cmp"
	"slices"
)

// Sort sorts x by cmp and leaves in order what cmp takes as equal.
func Sort[T any](x []T, cmp func(a, b T) int) {
	if len(x) < 2 {
		return
	}
	at := order(len(x), func(i, j int) int { return cmp(x[i], x[j]) })
	was := make([]T, len(x))
	copy(was, x)
	for i, k := range at {
		x[i] = was[k]
	}
}

// order returns the places 0 to n-1 as cmp ranks them.
func order(n int, cmp func(i, j int) int) []int {
	at := make([]int, n)
	for i := range at {
		at[i] = i
	}
	slices.SortStableFunc(at, cmp)
	return at
}

// Ascend sorts x upward.
func Ascend[T cmp.Ordered](x []T) { Sort(x, cmp.Compare[T]) }
