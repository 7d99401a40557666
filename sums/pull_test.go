package sums_test

import (
	"math"
	"strings"
	"testing"

	. "stubup/sums"
)

// Level, by hand: T = mu W L on straights, T2 = T1 cosh(mu a) + sinh(mu a)
// sqrt(T1^2 + (W R)^2) at the bend; fed from either end. On an upright straight
// the weight itself: 0.2 lb/ft x 40 ft.
func TestPullSum(t *testing.T) {
	const lbf = 4.4482216152605
	r := ask(t, "pull", "route", "100 ft, 90 left 36 in, 50 ft", "weight", "0.2 lb/ft", "od", "0.5 in", "kind", "PVC-40", "trade", "2", "friction", "0.3", "limit", "10 lbf")
	a := 0.3 * math.Pi / 2
	bend := func(t1 float64) float64 {
		return t1*math.Cosh(a) + math.Sinh(a)*math.Sqrt(t1*t1+0.36)
	}
	for key, want := range map[string]float64{"from-start": bend(6) + 3, "from-end": bend(3) + 6} {
		if got := value(t, r, key).SI / lbf; math.Abs(got/want-1) > 1e-6 {
			t.Errorf("%s: %v lbf, want %v", key, got, want)
		}
	}
	if value(t, r, "from-start.limit").SI != 0 {
		t.Error("13 lbf within 10")
	}
	if w := value(t, r, "best").Text; !strings.Contains(w, "feed at the end") {
		t.Error(w)
	}
	up := ask(t, "pull", "route", "10 ft, 90 up 36 in, 40 ft", "weight", "0.2 lb/ft", "od", "0.5 in", "kind", "PVC-40", "trade", "2", "friction", "0.00001")
	if got := value(t, up, "from-start").SI / lbf; math.Abs(got-0.2*(40+3)) > 0.001 {
		t.Errorf("upright: %v lbf", got)
	}
}

func TestRoutesThatCannotBeRead(t *testing.T) {
	s, _ := Find("pull")
	for route, says := range map[string]string{
		"100":                               "neither a straight nor a bend",
		"90 left":                           "no radius",
		"200 left 36 in":                    "no angle",
		"10 ft, 90 up 36 in, 90 left 36 in": "rises or falls",
		"10 ft, 90 up 36 in, 10 up 36 in":   "past upright",
		"10 ft, 90 up 36 in, 45 level 3 ft": "come out level",
		"":                                  "",
	} {
		_, err := s.Run([]Entry{{Name: "route", Text: route}, {Name: "weight", Text: "0.2 lb/ft"}, {Name: "od", Text: "0.5 in"}, {Name: "kind", Text: "PVC-40"}, {Name: "trade", Text: "2"}})
		if err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v", route, err)
		}
	}
	if _, err := s.Run([]Entry{{Name: "route", Text: "10 ft"}, {Name: "weight", Text: "2 lb/ft"}, {Name: "od", Text: "2.5 in"}, {Name: "kind", Text: "PVC-40"}, {Name: "trade", Text: "2"}}); err == nil || !strings.Contains(err.Error(), "do not go into") {
		t.Errorf("a cable thicker than the raceway: %v", err)
	}
}
