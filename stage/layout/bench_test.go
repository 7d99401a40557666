package layout

import "testing"

func BenchmarkPlan(b *testing.B) {
	v := view(compoundA())
	for b.Loop() {
		Make(v)
	}
}
