package raceway

import (
	"fmt"
	"math"

	"stubup/base/cite"
	"stubup/base/unit"
	"stubup/trade/conductor"
)

// Filler is one kind of conductor or cable in a raceway. A multiconductor or
// fiber cable is one conductor; an elliptical one has its major diameter.
type Filler struct {
	Name     string
	Count    int
	Diameter unit.Metre
	Area     conductor.Area // the printed area; zero: pi/4 Diameter^2
}

// Conductors returns n insulated conductors as a filler.
func Conductors(n int, c conductor.Insulated) (Filler, cite.Ref, error) {
	d, a, from, ok := c.Dimensions()
	if !ok {
		return Filler{}, from, fmt.Errorf("no dimensions are carried for %v", c)
	}
	return Filler{Name: c.String(), Count: n, Diameter: d, Area: a}, from, nil
}

// Cable returns n cables of diameter d as a filler.
func Cable(n int, name string, d unit.Metre) Filler {
	return Filler{Name: name, Count: n, Diameter: d}
}

// Each returns the area of one of them.
func (f Filler) Each() conductor.Area {
	if f.Area > 0 {
		return f.Area
	}
	return conductor.Circle(f.Diameter)
}

// FillTest says which test a fill was held to.
type FillTest string

// The two tests.
const (
	AreaTest  FillTest = "area"
	CountTest FillTest = "same-size count"
)

// Fill is the outcome of a fill test with every figure of it.
type Fill struct {
	Kind    Kind
	Trade   unit.Trade
	Test    FillTest
	Nipple  bool
	Count   int            // conductors and cables
	Share   unit.Ratio     // allowed share of the inside area
	Inside  conductor.Area // unrounded inside area
	Allowed conductor.Area // Share x Inside
	Used    conductor.Area
	Found   unit.Ratio // Used over Inside
	Most    int        // greatest count of the same size; zero for a mixed set
	Ratio   float64    // allowed area over the area of one, for a same-size set
	Holds   bool
	// Borderline says that the same-size ratio lies within 0.02 of where it
	// rounds, so that printed counts may differ by one.
	Borderline bool
	// ByRounding says that the set passes only because 0.8 rounds up.
	ByRounding bool
	Cite       []cite.Ref
}

// tight is the relative slack of a comparison of two areas: far under the last
// digit of any printed figure, far over the rounding of the machine.
const tight = 1e-9

// FillShare returns the allowed share of the cross-section for n conductors,
// or for a nipple not over 24 in long.
func FillShare(n int, nipple bool) (unit.Ratio, cite.Ref) {
	key := "3"
	switch {
	case nipple:
		key = "nipple"
	case n <= 1:
		key = "1"
	case n == 2:
		key = "2"
	}
	v, _ := fillTable().Num(key, "pct")
	return unit.Ratio(v / 100), fillTable().Cite
}

// CheckFill tests a set of conductors and cables in a raceway. A set of one
// size passes by count, where a decimal of 0.8 or more rounds up; a mixed set
// passes on area alone:
//
//	sum(A) <= share x pi/4 ID^2
//
// Source: NFPA 70 Chapter 9 Table 1 with notes 4, 7 and 9, Tables 4 and 5.
func CheckFill(k Kind, t unit.Trade, set []Filler, nipple bool) (Fill, error) {
	d, ok := Dim(k, t)
	if !ok {
		return Fill{}, fmt.Errorf("no dimensions are carried for %s %v", k, t)
	}
	f := Fill{Kind: k, Trade: t, Test: AreaTest, Nipple: nipple, Inside: d.Area}
	same := true
	one := conductor.Area(0)
	for _, s := range set {
		if s.Count < 0 {
			return Fill{}, fmt.Errorf("%s: a count of %d", s.Name, s.Count)
		}
		if s.Count == 0 {
			continue
		}
		a := s.Each()
		if !(a > 0) || math.IsInf(float64(a), 0) {
			return Fill{}, fmt.Errorf("%s: no diameter; measure the cable", s.Name)
		}
		f.Count += s.Count
		f.Used += a * conductor.Area(s.Count)
		if one == 0 {
			one = a
		}
		same = same && a == one
	}
	var c cite.Ref
	f.Share, c = FillShare(f.Count, nipple)
	f.Cite = []cite.Ref{c, d.Cite}
	f.Allowed = conductor.Area(f.Share) * f.Inside
	f.Found = unit.Ratio(f.Used / f.Inside)
	f.Holds = f.Used <= f.Allowed*(1+tight)
	if same && f.Count > 0 {
		f.Test = CountTest
		f.Ratio = float64(f.Allowed / one)
		up, c7 := figure("count.roundup")
		f.Cite = append(f.Cite, c7)
		if nipple {
			f.Most = roundCount(f.Ratio, up)
		} else {
			f.Most, _, _ = MaxCount(k, t, one)
		}
		byArea := f.Holds
		f.Holds = f.Count <= f.Most
		f.ByRounding = f.Holds && !byArea
		f.Borderline = borderline(f.Ratio, up)
	}
	return f, nil
}

func roundCount(ratio, up float64) int {
	n := math.Floor(ratio * (1 + tight))
	if ratio-n >= up-tight {
		n++
	}
	return int(n)
}

func borderline(ratio, up float64) bool {
	return math.Abs(ratio-math.Floor(ratio)-up) <= 0.02
}

// MaxCount returns how many conductors of one size and area go into a raceway
// longer than a nipple, and the ratio that decided it:
//
//	n = share x pi/4 ID^2 / A, a decimal of 0.8 or more rounding up
//
// taken at 40 percent for three and more, then at 31 for two, then at 53 for
// one.
func MaxCount(k Kind, t unit.Trade, one conductor.Area) (n int, ratio float64, ok bool) {
	d, ok := Dim(k, t)
	if !ok || !(one > 0) {
		return 0, 0, false
	}
	up, _ := figure("count.roundup")
	for _, least := range []int{3, 2, 1} {
		s, _ := FillShare(least, false)
		ratio = float64(conductor.Area(s) * d.Area / one)
		if n = roundCount(ratio, up); n >= least {
			if least < 3 {
				n = least
			}
			return n, ratio, true
		}
	}
	return 0, ratio, true
}

// SmallestTrade returns the smallest trade size of a kind that holds a set.
func SmallestTrade(k Kind, set []Filler, nipple bool) (unit.Trade, Fill, error) {
	for _, t := range Sizes(k) {
		f, err := CheckFill(k, t, set, nipple)
		if err != nil {
			return 0, Fill{}, err
		}
		if f.Holds {
			return t, f, nil
		}
	}
	return 0, Fill{}, fmt.Errorf("no trade size of %s that is carried here holds the set", k)
}

// Jam is the ratio of three equal conductors pulled together.
type Jam struct {
	Ratio float64 // ID over the diameter of one
	Risk  bool    // inside the band of the note
	Cite  cite.Ref
}

// JamRatio returns the ratio that tells whether three conductors of one size
// may wedge side by side in a bend:
//
//	J = ID / d
//
// Source: NFPA 70 Chapter 9 Table 1, informational note.
func JamRatio(k Kind, t unit.Trade, d unit.Metre) (Jam, bool) {
	dim, ok := Dim(k, t)
	if !ok || !(d > 0) {
		return Jam{}, false
	}
	lo, c := figure("jam.low")
	hi, _ := figure("jam.high")
	j := float64(dim.ID / d)
	return Jam{Ratio: j, Risk: j >= lo && j <= hi, Cite: c}, true
}
