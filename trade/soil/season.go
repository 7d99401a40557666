package soil

import (
	_ "embed" // the table beside this file
	"fmt"

	"stubup/base/cite"
	"stubup/base/table"
	"stubup/base/unit"
)

//go:embed tables/season.csv
var seasonCSV string

var seasonTable = table.Lazy(seasonCSV)

func seasonNum(key string) float64 {
	v, ok := seasonTable().Num(key, "value")
	if !ok {
		panic("soil: no figure " + key)
	}
	return v
}

// SeasonCite is where the figures of Times and DryReach are from.
func SeasonCite() cite.Ref { return seasonTable().Cite }

// Top is what a season does to the top of the soil.
type Top string

// Seasons of the top.
const (
	AsSurveyed Top = ""
	FrozenTop  Top = "frozen"
	DryTop     Top = "dry"
	WetTop     Top = "wet"
)

// Times returns by how much a season multiplies the resistivity of the top
// where nobody knows better, 1 as surveyed.
func (t Top) Times() unit.Ratio {
	if t == AsSurveyed {
		return 1
	}
	return unit.Ratio(seasonNum(string(t)))
}

// DryReach returns how deep a season dries or soaks the soil where nobody
// knows better.
func DryReach() unit.Metre { return unit.Metre(seasonNum("dry-depth")) * unit.Inch }

// Frozen returns the earth with its top, down to depth, frozen: every
// resistivity there is multiplied by factor, and a layer that the frost only
// enters is split. An earth that was uniform becomes two layers, a two-layer
// one three.
//
// factor is 1 or more. It depends on the soil, its water and how cold it is,
// from a few times at the freezing point to a hundred and more well below it
// (common practice, no source): try several, a season is not known to a digit.
func (m Model) Frozen(depth unit.Metre, factor unit.Ratio) (Model, error) {
	if !(factor >= 1) {
		return nil, &Error{BadResistivity, -1, fmt.Sprintf("frost multiplies the resistivity by %g, it must be 1 or more", float64(factor)), "give how many times the resistivity rises as the soil freezes, such as 10"}
	}
	return m.changed(depth, factor)
}

// Dried returns the earth with its top, down to depth, dried out (factor above
// 1) or wetted (below 1), as Frozen does it.
func (m Model) Dried(depth unit.Metre, factor unit.Ratio) (Model, error) {
	if !(factor > 0) {
		return nil, &Error{BadResistivity, -1, fmt.Sprintf("the season multiplies the resistivity by %g, it must be above 0", float64(factor)), "give the resistivity of the dry top over that of the survey, such as 3"}
	}
	return m.changed(depth, factor)
}

// thinnest is the least part of a layer that is kept as a layer of its own, as
// a share of it: a boundary that falls on another but for rounding is that one.
const thinnest = 1e-9

func (m Model) changed(depth unit.Metre, factor unit.Ratio) (Model, error) {
	if err := m.Validate(); err != nil {
		return nil, err
	}
	if !(depth >= minThickness && depth <= maxThickness) {
		return nil, &Error{BadThickness, -1, fmt.Sprintf("a season's depth of %g m is not usable", float64(depth)), "give the depth to which the soil freezes or dries, above zero"}
	}
	var out Model
	left := depth
	for i, l := range m {
		last := i == len(m)-1
		switch k := l.Resistivity * unit.OhmMetre(factor); {
		case left <= l.Thickness*thinnest || left <= 0:
			out = append(out, l)
			left = 0
		case !last && left >= l.Thickness*(1-thinnest):
			out = append(out, Layer{k, l.Thickness})
			left -= l.Thickness
		default:
			out = append(out, Layer{k, left})
			if last {
				out = append(out, Layer{l.Resistivity, 0})
			} else {
				out = append(out, Layer{l.Resistivity, l.Thickness - left})
			}
			left = 0
		}
	}
	out = out.Merged()
	if err := out.Validate(); err != nil {
		return nil, err
	}
	return out, nil
}
