package ground

import (
	_ "embed"
	"math"
	"strconv"

	"stubup/base/cite"
	"stubup/base/table"
	"stubup/base/unit"
)

// The functions below are textbook values: classical formulas in closed form,
// each with its author's simplification (mostly: leakage even along the whole
// conductor, which reads high). They serve a hand check and a first guess and
// are not the program's answer; Solve is. Outside the stated range they give
// what the equation gives.

var (
	dwight  = cite.Ref{Work: "H. B. Dwight, Calculation of Resistances to Ground, AIEE Trans. 55", Edition: "1936", Place: "pp 1319-1328", Seen: cite.FromMemory, Note: "formula from memory; also in IEEE Std 142, table of formulas"}
	fields  = cite.Ref{Work: "electrostatics of the isolated conductor", Place: "R = eps rho / C", Seen: cite.Derived}
	std80   = cite.Ref{Work: "IEEE Std 80", Edition: "2000", Place: "14.2, eq. 51", Seen: cite.FromMemory}
	bs7430  = cite.Ref{Work: "BS 7430", Edition: "2011", Place: "9.5.3, worked number", Seen: cite.Read}
	lpGuide = cite.Ref{Work: "a lightning protection guide", Edition: "2014", Place: "table 5.5.1", Seen: cite.Read, Note: "rules of thumb"}
	sunde   = cite.Ref{Work: "mean potential of an evenly leaking line and its mirror", Place: "double integral of 1/R in closed form", Seen: cite.Derived, Note: "the method of Sunde, Earth Conduction Effects (from memory)"}
)

// RodAtGrade returns the resistance of one rod driven from grade,
//
//	R = rho/(2 pi L) (ln(4L/a) - 1)
//
// rho resistivity in ohm-m, L length in contact in m, a radius in m. Leakage
// even along the rod; a much less than L. Source: Dwight 1936, eq. for one
// ground rod (from memory).
func RodAtGrade(rho unit.OhmMetre, l, a unit.Metre) unit.Ohm {
	return unit.Ohm(float64(rho) / (2 * math.Pi * float64(l)) * (math.Log(4*float64(l/a)) - 1))
}

// RodSurface returns the potential of the surface at a distance s from a rod
// driven from grade, per ampere,
//
//	V/I = rho/(2 pi L) asinh(L/s)
//
// rho resistivity in ohm-m, L length and s distance in m. Leakage even along
// the rod; exact for that.
func RodSurface(rho unit.OhmMetre, l, s unit.Metre) unit.Ohm {
	return unit.Ohm(float64(rho) / (2 * math.Pi * float64(l)) * math.Asinh(float64(l/s)))
}

// RodBuried returns the resistance of one vertical rod whose top lies at
// depth t,
//
//	R = rho/(4 pi L^2) (2 F(L,a) + G(2t+2L) - 2 G(2t+L) + G(2t)),  G(x) = x asinh(x/a) - sqrt(x^2 + a^2),  F(L,a) = G(L) - G(0)
//
// rho resistivity in ohm-m, L length in m, a radius in m, t depth of the top in
// m. Leakage even along the rod, mean potential along it, mirror in the
// surface. Derived; with t = 0 it is RodAtGrade to terms of a/L.
func RodBuried(rho unit.OhmMetre, l, a, top unit.Metre) unit.Ohm {
	L, r, t := float64(l), float64(a), float64(top)
	g := func(x float64) float64 { return x*math.Asinh(x/r) - math.Sqrt(x*x+r*r) }
	return unit.Ohm(float64(rho) / (4 * math.Pi * L * L) * (2*(g(L)-g(0)) + g(2*t+2*L) - 2*g(2*t+L) + g(2*t)))
}

// TwoRods returns the resistance of two joined rods driven from grade, s
// apart, s more than L,
//
//	R = rho/(4 pi L) (ln(4L/a) - 1) + rho/(4 pi s) (1 - L^2/(3 s^2) + 2 L^4/(5 s^4))
//
// rho resistivity in ohm-m, L length, a radius, s spacing in m. Source: Dwight
// 1936 (from memory).
func TwoRods(rho unit.OhmMetre, l, a, s unit.Metre) unit.Ohm {
	q := float64(l / s)
	q *= q
	return RodAtGrade(rho, l, a)/2 + unit.Ohm(float64(rho)/(4*math.Pi*float64(s))*(1-q/3+2*q*q/5))
}

// StraightWire returns the resistance of a buried horizontal wire,
//
//	R = rho/(2 pi L) (ln(2L/a) + ln(L/d) - 2 + 2 d/L - (d/L)^2 + (d/L)^4/2)
//
// rho resistivity in ohm-m, L length, a radius, d depth in m; d less than L.
// (Dwight writes it with 2L for the length and s = 2d.) Source: Dwight 1936
// (from memory).
func StraightWire(rho unit.OhmMetre, l, a, d unit.Metre) unit.Ohm {
	q := float64(d / l)
	return unit.Ohm(float64(rho) / (2 * math.Pi * float64(l)) * (math.Log(2*float64(l/a)) + math.Log(float64(l/d)) - 2 + 2*q - q*q + q*q*q*q/2))
}

// CornerWire returns the resistance of a right-angle bend of two equal arms,
//
//	R = rho/(4 pi L) (ln(2L/a) + ln(2L/s) - 0.2373 + 0.2146 s/L + 0.1035 (s/L)^2 - 0.0424 (s/L)^4)
//
// rho resistivity in ohm-m, L length of one arm, a radius, s = 2 x depth in m.
// Source: Dwight 1936 (from memory; copies with 4L for 2L are in error).
func CornerWire(rho unit.OhmMetre, arm, a, d unit.Metre) unit.Ohm {
	return star(rho, arm, a, d, 2, -0.2373, 0.2146, 0.1035, -0.0424)
}

// Star3 returns the resistance of three equal arms at 120 degrees,
//
//	R = rho/(6 pi L) (ln(2L/a) + ln(2L/s) + 1.071 - 0.209 s/L + 0.238 (s/L)^2 - 0.054 (s/L)^4)
//
// rho resistivity in ohm-m, L length of one arm, a radius, s = 2 x depth in m.
// Source: Dwight 1936 (from memory); 2 % above the field solution.
func Star3(rho unit.OhmMetre, arm, a, d unit.Metre) unit.Ohm {
	return star(rho, arm, a, d, 3, 1.071, -0.209, 0.238, -0.054)
}

// Star4 returns the resistance of four equal arms at 90 degrees,
//
//	R = rho/(8 pi L) (ln(2L/a) + ln(2L/s) + 2.912 - 1.071 s/L + 0.645 (s/L)^2 - 0.145 (s/L)^4)
//
// rho resistivity in ohm-m, L length of one arm, a radius, s = 2 x depth in m.
// Source: Dwight 1936 (from memory); 3 % above the field solution.
func Star4(rho unit.OhmMetre, arm, a, d unit.Metre) unit.Ohm {
	return star(rho, arm, a, d, 4, 2.912, -1.071, 0.645, -0.145)
}

func star(rho unit.OhmMetre, arm, a, d unit.Metre, n, c0, c1, c2, c4 float64) unit.Ohm {
	l, s := float64(arm), 2*float64(d)
	q := s / l
	return unit.Ohm(float64(rho) / (2 * n * math.Pi * l) * (math.Log(2*l/float64(a)) + math.Log(2*l/s) + c0 + c1*q + c2*q*q + c4*q*q*q*q))
}

// CircularRing returns the resistance of a buried ring of round wire,
//
//	R = rho/(2 pi^2 D) (ln(8D/w) + ln(4D/s))
//
// rho resistivity in ohm-m, D diameter of the ring, w diameter of the wire, s =
// 2 x depth in m; s much less than D. Source: Dwight 1936 (from memory).
func CircularRing(rho unit.OhmMetre, diameter, a, d unit.Metre) unit.Ohm {
	D := float64(diameter)
	return unit.Ohm(float64(rho) / (2 * math.Pi * math.Pi * D) * (math.Log(8*D/(2*float64(a))) + math.Log(4*D/(2*float64(d)))))
}

// Strip returns the resistance of a buried horizontal strip of section w by t,
//
//	R = rho/(2 pi L) (ln(2L/w) + (w^2 - pi w t)/(2 (w+t)^2) + ln(L/d) - 1 + 2 d/L - (d/L)^2 + (d/L)^4/2)
//
// rho resistivity in ohm-m, L length, w width, t thickness, d depth in m; t less
// than w/8. (Dwight writes it with 2L for the length.) Source: Dwight 1936
// (from memory).
func Strip(rho unit.OhmMetre, l, w, t, d unit.Metre) unit.Ohm {
	q := float64(d / l)
	k := float64((w*w - math.Pi*w*t) / (2 * (w + t) * (w + t)))
	return unit.Ohm(float64(rho) / (2 * math.Pi * float64(l)) * (math.Log(2*float64(l/w)) + k + math.Log(float64(l/d)) - 1 + 2*q - q*q + q*q*q*q/2))
}

// RoundPlate returns the resistance of a buried horizontal round plate,
//
//	R = rho/(8 a) + rho/(4 pi s) (1 - 7 a^2/(12 s^2) + 33 a^4/(40 s^4))
//
// rho resistivity in ohm-m, a radius, s = 2 x depth in m. Source: Dwight 1936
// (from memory).
func RoundPlate(rho unit.OhmMetre, a, d unit.Metre) unit.Ohm {
	s := 2 * float64(d)
	q := float64(a) / s
	q *= q
	return unit.Ohm(float64(rho)/(8*float64(a)) + float64(rho)/(4*math.Pi*s)*(1-7*q/12+33*q*q/40))
}

// Hemisphere returns the resistance of a hemisphere flush with the surface, R
// = rho/(2 pi a): rho resistivity in ohm-m, a radius in m. Exact.
func Hemisphere(rho unit.OhmMetre, a unit.Metre) unit.Ohm {
	return unit.Ohm(float64(rho) / (2 * math.Pi * float64(a)))
}

// Disc returns the resistance of a thin disc flush with the surface, R =
// rho/(4 a): rho resistivity in ohm-m, a radius in m. Exact.
func Disc(rho unit.OhmMetre, a unit.Metre) unit.Ohm { return unit.Ohm(float64(rho) / (4 * float64(a))) }

// Sphere returns the resistance of a sphere far below the surface, R = rho/(4
// pi a): rho resistivity in ohm-m, a radius in m. Exact.
func Sphere(rho unit.OhmMetre, a unit.Metre) unit.Ohm {
	return unit.Ohm(float64(rho) / (4 * math.Pi * float64(a)))
}

// HalfSpheroid returns the resistance of half a long spheroid, its middle
// flush with the surface,
//
//	R = rho atanh(e)/(2 pi c e),  e = sqrt(1 - a^2/c^2)
//
// rho resistivity in ohm-m, c depth of the tip, a radius at the surface in m.
// Exact.
func HalfSpheroid(rho unit.OhmMetre, c, a unit.Metre) unit.Ohm {
	e := math.Sqrt(1 - float64(a*a/(c*c)))
	return unit.Ohm(float64(rho) * math.Atanh(e) / (2 * math.Pi * float64(c) * e))
}

// Laurent returns the simplified value of a meshed ground of area A with
// length L of conductor,
//
//	R = rho/4 sqrt(pi/A) + rho/L
//
// rho resistivity in ohm-m, A area in m2, L length in m. 5 to 17 % above the
// field solution. Source: IEEE Std 80 eq. 51 (from memory).
func Laurent(rho unit.OhmMetre, area float64, l unit.Metre) unit.Ohm {
	return unit.Ohm(float64(rho)/4*math.Sqrt(math.Pi/area) + float64(rho)/float64(l))
}

// RingThumb returns the rule of thumb of a ring,
//
//	R = 2 rho/(3 d),  d = 1.13 sqrt(A)
//
// rho resistivity in ohm-m, d diameter of the circle of the same area A (m2) in
// m. Source: a lightning protection guide, 2014, table 5.5.1.
func RingThumb(rho unit.OhmMetre, area float64) unit.Ohm {
	return unit.Ohm(2 * float64(rho) / (3 * 1.13 * math.Sqrt(area)))
}

// RodThumb returns the rule of thumb of a rod, R = rho/L: rho resistivity in
// ohm-m, L length in m. Source as RingThumb.
func RodThumb(rho unit.OhmMetre, l unit.Metre) unit.Ohm {
	return unit.Ohm(float64(rho) / float64(l))
}

// RadialThumb returns the rule of thumb of a buried radial, R = 2 rho/L: rho
// resistivity in ohm-m, L length in m. Source as RingThumb.
func RadialThumb(rho unit.OhmMetre, l unit.Metre) unit.Ohm {
	return unit.Ohm(2 * float64(rho) / float64(l))
}

//go:embed multirod.csv
var multiRodText string

// MultiRods is the table of factors for several rods one rod length apart.
var MultiRods = table.Lazy(multiRodText)

// MultiRodFactor returns F in R = F R1/n for n rods one rod length apart, and
// whether the table prints that n.
func MultiRodFactor(n int) (float64, bool) {
	if n == 1 {
		return 1, true
	}
	return MultiRods().Num(strconv.Itoa(n), "factor")
}

// BreakEven returns by what factor every resistivity of the soil may grow
// before a resistance r reaches a limit: R scales with all layers together,
// so that for uniform soil rho x BreakEven is the resistivity at which the
// limit is met exactly.
func BreakEven(r, limit unit.Ohm) unit.Ratio { return unit.Ratio(limit / r) }

// Margin returns how far below its limit a resistance is, (limit - r)/limit.
func Margin(r, limit unit.Ohm) unit.Ratio { return unit.Ratio((limit - r) / limit) }
