package pull_test

import (
	"testing"

	. "stubup/trade/pull"
)

// BenchmarkAllowable is one path of eight elements, as a route search asks it.
func BenchmarkAllowable(b *testing.B) {
	path := []Element{Straight(20*ft, 0), LevelBend(90, 3*ft), Straight(20*ft, 0), VerticalBend(0, 90, 2*ft), Straight(8*ft, 90), VerticalBend(90, 0, 2*ft), LevelBend(45, 3*ft), Straight(30*ft, 0)}
	l, m := Load{Weight: 2 * plf, Friction: 0.35, Factor: 1.2}, Limits{Tension: 1000 * lbf, Sidewall: 300 * plf, Half: in}
	for b.Loop() {
		if _, err := AllowableEntering(path, l, m); err != nil {
			b.Fatal(err)
		}
	}
}
