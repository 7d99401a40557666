package earthtest

import (
	"testing"

	"stubup/trade/soil"
)

// BenchmarkJudge is one judgment of a line of seven readings against one layered
// soil that is solved already.
func BenchmarkJudge(b *testing.B) {
	x := Test{Lead: side, Stake: 60 * ft, Diagonal: diagonal, Readings: sideReadings, Shapes: []Shape{Predicted(solved(b, soil.TwoLayer(100, 400, 3), 8), 0, side, "", 1)}, Limit: 5, Conditions: fine}
	for b.Loop() {
		if _, err := Judge(x); err != nil {
			b.Fatal(err)
		}
	}
}
