package answer

import (
	"fmt"
	"strings"

	"stubup/base/cite"
	"stubup/base/trace"
	"stubup/base/unit"
	"stubup/trade/soil"
)

// What a survey must have before layers fitted to it are used. Below that the
// fit is an opinion. Common practice, no source.
const (
	leastReadings = 5
	mostMisfit    = 0.15
)

// Survey returns the four-pin readings of the site as points of a sounding.
func (b *Book) Survey() []soil.Point {
	var ps []soil.Point
	for _, r := range b.Plan.Site.Soil.Readings {
		ps = append(ps, soil.Reading{Spacing: r.Spacing.SI, Resistance: r.Ohms.SI}.Point(r.Line))
	}
	return ps
}

// SurveyFit returns the layers that explain the four-pin readings best, whether
// they are used or not.
func (b *Book) SurveyFit() (soil.Fitted, error) {
	type fit struct {
		f   soil.Fitted
		err error
	}
	x := memo(b, "soil.fit", func() fit {
		f, err := soil.Fit(b.Survey(), soil.Options{})
		return fit{f, err}
	})
	return x.f, x.err
}

// fitted returns the layers that explain readings which do not agree, or says
// why they do not bear it.
func (b *Book) fitted(from []*trace.Value, disagree error) Ground {
	ps := b.Survey()
	why := func(s string) Ground { return Ground{Answer: cannot("soil layers: " + disagree.Error() + "; " + s)} }
	if len(ps) < leastReadings {
		return why(fmt.Sprintf("%d readings are too few to fit layers to, at least %d are needed", len(ps), leastReadings))
	}
	f, err := b.SurveyFit()
	if err != nil {
		return why(err.Error())
	}
	if f.Misfit > mostMisfit {
		return why(fmt.Sprintf("the layers that fit best lie %s %% off the readings", unit.Fixed(float64(f.Misfit)*100, 0)))
	}
	u := b.Plan.Site.Units
	var words []string
	for i, l := range f.Model {
		if k := f.Known[i].Resistivity; k.LowOpen || k.HighOpen {
			return why("the readings do not bound the resistivity of layer " + fmt.Sprint(i+1) + ": read at wider spacings")
		}
		w := unit.Figures(float64(l.Resistivity), 3) + " ohm-m"
		if l.Thickness > 0 {
			w += " to " + u.Length(l.Thickness)
		}
		words = append(words, w)
	}
	v := trace.Derive("soil.model", "soil, layers fitted to four-pin readings", float64(f.Model[0].Resistivity), "ohm-m", strings.Join(words, ", then "),
		trace.By{
			ID: "soil.fit", Equation: "least squares of ln(read / computed) with bad readings set aside", Put: f.Reason,
			Cite: cite.Ref{Work: "fit of horizontal layers", Place: "recurrence of the kernel", Seen: cite.Derived},
		}, from...)
	return Ground{Answer: b.keep(v), Model: f.Model, Kind: "four-pin readings, fitted", Fit: &f}
}
