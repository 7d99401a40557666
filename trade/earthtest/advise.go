package earthtest

import (
	"cmp"
	"fmt"
	"math"

	"stubup/base/stable"
	"stubup/base/unit"
)

// RuleBias is what both rules do here.
type RuleBias struct{ Sixty, Slope Bias }

// Biases returns by what share the two rules read over the truth with the outer
// stake at a distance, in each of the shapes: their weighted mean, least and
// most.
func Biases(stake unit.Metre, shapes []Shape) (RuleBias, error) {
	var out RuleBias
	weights := shapeWeights(shapes)
	var sum [2]float64
	for i, s := range shapes {
		if weights[i] == 0 {
			continue
		}
		var fault error
		r := rule(func(share float64) (unit.Ohm, How) {
			v, err := s.Predict(stake, []unit.Metre{unit.Metre(share) * stake})
			if err != nil || len(v) != 1 {
				fault = cmp.Or(fault, err)
				return 0, NotKnown
			}
			return v[0], Read
		})
		if fault != nil {
			return RuleBias{}, fault
		}
		for k, e := range []struct {
			v   unit.Ohm
			how How
			b   *Bias
		}{{r.sixty, r.howSixty, &out.Sixty}, {r.slope, r.howAll, &out.Slope}} {
			if e.how == NotKnown {
				continue
			}
			d := e.v/s.Resistance - 1
			if !e.b.Known {
				*e.b = Bias{true, 0, unit.Ratio(d), unit.Ratio(d)}
			}
			e.b.Low, e.b.High = min(e.b.Low, unit.Ratio(d)), max(e.b.High, unit.Ratio(d))
			e.b.Mean += unit.Ratio(weights[i] * float64(d))
			sum[k] += weights[i]
		}
	}
	if out.Sixty.Known {
		out.Sixty.Mean /= unit.Ratio(sum[0])
	}
	if out.Slope.Known {
		out.Slope.Mean /= unit.Ratio(sum[1])
	}
	return out, nil
}

// Allowed is a direction in which stakes may be driven, and how far.
type Allowed struct {
	Lead             Lead
	Nearest, Longest unit.Metre // of the outer stake
}

// Advice is where the stakes should go along one lead.
type Advice struct {
	Lead         int // of those allowed, from 0
	Name         string
	Stake, Inner unit.Metre
	Share        float64
	Error        unit.Ratio // predicted of a reading there, root mean square over the shapes and the stake's place
	Rules        RuleBias   // what the rules would do with that outer stake
	Words        string
}

// How finely stakes are tried: lengths of the lead, shares of it, and shares
// about the best of those.
const (
	adviceLengths = 6
	adviceSteps   = 30
	adviceClose   = 6
)

// Advise returns, for every direction that is allowed, where the outer and the
// inner stake give the least predicted error of the reading itself, the best
// direction first:
//
//	E^2 = sum over the shapes of w (ln S(p)/R)^2 + (s d ln S/dp)^2
//
// S predicted reading and R resistance in ohm, w weight, s standard deviation of
// the inner stake's place. shapes returns what is believed along a lead. Source:
// derived.
func Advise(allowed []Allowed, shapes func(Lead) ([]Shape, error), o FitOptions) ([]Advice, error) {
	if len(allowed) == 0 {
		return nil, &Error{NoLead, -1, "no direction is allowed", "give at least one, with its length"}
	}
	o, err := o.filled()
	if err != nil {
		return nil, err
	}
	var out []Advice
	for i, a := range allowed {
		if !good(float64(a.Longest)) || !good(float64(a.Nearest)) || a.Nearest > a.Longest {
			return nil, &Error{NoLead, i, "no length that could be tried", "give the nearest and the longest place of the outer stake"}
		}
		ss, err := shapes(a.Lead)
		if err != nil {
			return nil, err
		}
		if err := checkShapes(ss); err != nil {
			return nil, err
		}
		if len(ss) == 0 {
			return nil, &Error{BadShape, i, "no shape of the curve along it", "give at least one"}
		}
		best := Advice{Lead: i, Name: a.Lead.Name, Error: unit.Ratio(math.Inf(1))}
		for k := range adviceLengths {
			stake := a.Nearest + (a.Longest-a.Nearest)*unit.Metre(k)/(adviceLengths-1)
			if k > 0 && a.Nearest == a.Longest {
				break
			}
			p, share, e, err := innerPlace(stake, ss, o)
			if err != nil {
				return nil, err
			}
			if e < best.Error {
				best.Stake, best.Inner, best.Share, best.Error = stake, p, share, e
			}
		}
		if math.IsInf(float64(best.Error), 1) {
			return nil, &Error{NoLead, i, "no place along it gives a reading", "give a direction away from the metal"}
		}
		if best.Rules, err = Biases(best.Stake, ss); err != nil {
			return nil, err
		}
		best.Words = fmt.Sprintf("%s: outer stake at %s, inner at %s (%s %% of it): expect within %s %%; there the 62 %% rule %s, the slope method %s",
			best.Name, unit.US.Run(best.Stake), unit.US.Run(best.Inner), unit.Trim(100*best.Share, 0), unit.Trim(100*float64(best.Error), 1), best.Rules.Sixty.Words(), best.Rules.Slope.Words())
		out = append(out, best)
	}
	stable.Sort(out, func(a, b Advice) int { return cmp.Compare(a.Error, b.Error) })
	return out, nil
}

// innerPlace tries places coarsely, then closely about the best of them.
func innerPlace(stake unit.Metre, ss []Shape, o FitOptions) (unit.Metre, float64, unit.Ratio, error) {
	var coarse []float64
	for k := 1; k < adviceSteps; k++ {
		coarse = append(coarse, float64(k)/adviceSteps)
	}
	at, best, err := bestPlace(stake, coarse, ss, o)
	if err != nil {
		return 0, 0, 0, err
	}
	if !math.IsInf(best, 1) {
		var close []float64
		for k := -adviceClose - 1; k <= adviceClose+1; k++ {
			if x := at + float64(k)/(adviceSteps*adviceClose); x > 0 && x < 1 {
				close = append(close, x)
			}
		}
		if x, e, err := bestPlace(stake, close, ss, o); err != nil {
			return 0, 0, 0, err
		} else if e < best {
			at, best = x, e
		}
	}
	// The noise of the meter is there wherever the stake goes.
	e := math.Sqrt(best + float64(o.Noise*o.Noise))
	return unit.Metre(at) * stake, at, unit.Ratio(e), nil
}

// bestPlace returns which of some shares of the lead gives the least square of
// the error, the first and the last of them left out.
func bestPlace(stake unit.Metre, shares []float64, ss []Shape, o FitOptions) (at, best float64, err error) {
	ps := make([]unit.Metre, len(shares))
	for k, x := range shares {
		ps[k] = stake * unit.Metre(x)
	}
	place := float64(o.Zero)
	total := make([]float64, len(ps))
	weights := shapeWeights(ss)
	for i, s := range ss {
		if weights[i] == 0 {
			continue
		}
		v, err := s.Predict(stake, ps)
		if err != nil {
			return 0, 0, err
		}
		for k := range ps {
			if k == 0 || k == len(ps)-1 || !good(float64(v[k-1])) || !good(float64(v[k])) || !good(float64(v[k+1])) {
				total[k] = math.Inf(1)
				continue
			}
			d := math.Log(float64(v[k] / s.Resistance))
			slope := math.Log(float64(v[k+1]/v[k-1])) / float64(ps[k+1]-ps[k-1])
			total[k] += weights[i] * (d*d + place*place*slope*slope)
		}
	}
	best = math.Inf(1)
	for k, v := range total {
		if v < best {
			at, best = shares[k], v
		}
	}
	return at, best, nil
}
