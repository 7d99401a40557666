package soil

import (
	"fmt"
	"math"

	"stubup/base/unit"
)

// Reading is one setting of a four-pin survey at equal spacing.
type Reading struct {
	Spacing    unit.Metre
	Resistance unit.Ohm
}

// Apparent returns the apparent resistivity of the reading,
//
//	rho_a = 2 pi a R
//
// a pin spacing in m, R reading in ohms. Assumes pins driven less than a/20
// deep, so that they count as points (common practice).
func (r Reading) Apparent() unit.OhmMetre {
	return unit.OhmMetre(2 * math.Pi * float64(r.Spacing) * float64(r.Resistance))
}

// UniformWithin is the rule by which readings count as one resistivity: every
// apparent resistivity lies within this share of their plain mean. Common
// practice, no source.
const UniformWithin unit.Ratio = 0.10

// Survey is what a set of readings says by itself.
type Survey struct {
	Apparent []unit.OhmMetre // in the order of the readings
	Mean     unit.OhmMetre
	Spread   unit.Ratio // largest distance from the mean, as a share of it
	Widest   unit.Metre // the largest spacing: below about this depth nothing was seen
}

// NeedsLayers is the answer where readings are not of one resistivity: no
// average of them describes the ground, and layers must be fitted.
type NeedsLayers struct {
	Survey
	Worst int // index of the reading farthest from the mean
}

func (e *NeedsLayers) Error() string {
	return fmt.Sprintf("soil: cannot tell one resistivity: reading %d gives %.3g ohm-m, %.0f %% from the mean of %.3g ohm-m (at most %.0f %%); layers must be fitted",
		e.Worst+1, float64(e.Apparent[e.Worst]), 100*float64(e.Spread), float64(e.Mean), 100*float64(UniformWithin))
}

// FromReadings returns the uniform model that the readings support. Every
// apparent resistivity must lie within UniformWithin of their mean; otherwise
// the error is a *NeedsLayers that carries them, and never an average. The
// survey is returned in both cases. A single reading is uniform by the rule,
// and says so in Survey.Widest: it saw one depth only.
func FromReadings(rs []Reading) (Model, Survey, error) {
	if len(rs) == 0 {
		return nil, Survey{}, &Error{NoReadings, -1, "no readings", "give at least one spacing with its ohms"}
	}
	var s Survey
	for i, r := range rs {
		if err := spacing(float64(r.Spacing)); err != nil {
			e := err.(*Error)
			e.Index = i
			e.What = fmt.Sprintf("reading %d: %s", i+1, e.What)
			return nil, Survey{}, e
		}
		if !(r.Resistance > 0 && r.Resistance < 1e9) {
			return nil, Survey{}, &Error{BadReading, i, fmt.Sprintf("reading %d: %g ohm is not usable", i+1, float64(r.Resistance)), "give a reading above zero, or leave it out"}
		}
		s.Apparent = append(s.Apparent, r.Apparent())
		s.Mean += r.Apparent() / unit.OhmMetre(len(rs))
		s.Widest = max(s.Widest, r.Spacing)
	}
	worst := 0
	for i, a := range s.Apparent {
		if d := unit.Ratio(math.Abs(float64(a/s.Mean) - 1)); d > s.Spread {
			s.Spread, worst = d, i
		}
	}
	if s.Spread > UniformWithin {
		return nil, s, &NeedsLayers{Survey: s, Worst: worst}
	}
	return Single(s.Mean), s, nil
}
