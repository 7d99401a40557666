package wire

import (
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"stubup/base/unit"
	"stubup/trade/soil"
)

// maxReadings keeps a fit from being work without end.
const maxReadings = 400

// thinInner is mn over AB/2 where a schlumberger survey does not say: inner
// pins close enough together that it no longer matters.
const thinInner = 0.02

// CalcSoilFit answers "calc soil-fit": the layers that explain a four-pin
// survey. spacings are a for wenner and AB/2 for schlumberger, apparent the
// apparent resistivities read there; layers is 1 to 4 or "auto"; mn, for
// schlumberger, is the distance of the inner pins, one number for all or one
// for each spacing, close together where it is left out.
//
// In the answer misfit is the rms of ln(read/fitted); interval90 is in the
// order of the layers, null at an end that the readings do not bound; product
// is resistivity times thickness (ohm-m2), quotient thickness over resistivity
// (siemens): where two layers can be traded against each other one of these is
// known and its parts are not. flagged are the indices, from 0, of readings
// that were set aside.
func CalcSoilFit(in []byte) ([]byte, error) {
	o, err := parse(in)
	if err != nil {
		return nil, err
	}
	array := o.text("array", true)
	spacings := o.numbers("spacings", true)
	apparent := o.numbers("apparent", true)
	n := o.layerCount("layers")
	var mn []float64
	switch array {
	case "schlumberger":
		if o.has("mn") {
			mn = o.numberOrList("mn", len(spacings))
		} else {
			o.get("mn", false)
			for _, a := range spacings {
				mn = append(mn, thinInner*a)
			}
		}
	case "wenner":
	case "":
	default:
		o.fail("array", fmt.Sprintf(`%q is not known; write "wenner" or "schlumberger"`, array))
	}
	o.done()
	if o.has("spacings") && o.has("apparent") && len(apparent) != len(spacings) {
		o.fail("apparent", fmt.Sprintf("has %d members, spacings has %d", len(apparent), len(spacings)))
	}
	if len(spacings) > maxReadings {
		o.fail("spacings", fmt.Sprintf("more than %d", maxReadings))
	}
	if err := o.err(); err != nil {
		return nil, err
	}
	points := make([]soil.Point, len(spacings))
	for i, a := range spacings {
		points[i] = soil.Point{Setting: soil.WennerSetting(unit.Metre(a)), Apparent: unit.OhmMetre(apparent[i])}
		if array == "schlumberger" {
			if a > 0 && !(mn[i] > 0 && mn[i] < 2*a) {
				return nil, &InputError{"mn", fmt.Sprintf("%g m does not fit between outer pins %g m from the center", mn[i], a)}
			}
			points[i].Setting = soil.SchlumbergerSetting(unit.Metre(a), unit.Metre(mn[i]))
		}
	}
	f, err := soil.Fit(points, soil.Options{Layers: n})
	if err != nil {
		return nil, fitError(err)
	}
	type layer struct {
		Resistivity json.Number  `json:"resistivity"`
		Thickness   *json.Number `json:"thickness,omitempty"`
	}
	type span struct {
		Low  *json.Number `json:"low"`
		High *json.Number `json:"high"`
	}
	type known struct {
		Resistivity span   `json:"resistivity"`
		Thickness   *span  `json:"thickness,omitempty"`
		Bottom      *span  `json:"bottom,omitempty"`
		Product     *span  `json:"product,omitempty"`
		Quotient    *span  `json:"quotient,omitempty"`
		Words       string `json:"words,omitempty"`
	}
	type flag struct {
		Index    int         `json:"index"`
		Read     json.Number `json:"read"`
		Expected json.Number `json:"expected"`
		Reason   string      `json:"reason"`
	}
	spanOf := func(v soil.Interval) span {
		var s span
		if !v.LowOpen {
			s.Low = pointer(digits(v.Low))
		}
		if !v.HighOpen {
			s.High = pointer(digits(v.High))
		}
		return s
	}
	out := struct {
		Soil       []layer     `json:"soil"`
		Misfit     json.Number `json:"misfit"`
		Interval90 []known     `json:"interval90"`
		Flagged    []int       `json:"flagged"`
		Flags      []flag      `json:"flags"`
		Reason     string      `json:"reason"`
		Doubts     []string    `json:"doubts"`
	}{Misfit: digits(float64(f.Misfit)), Flagged: []int{}, Flags: []flag{}, Reason: f.Reason, Doubts: append([]string{}, f.Doubts...)}
	for i, l := range f.Model {
		w := layer{Resistivity: digits(float64(l.Resistivity))}
		k := known{Resistivity: spanOf(f.Known[i].Resistivity), Words: f.Known[i].Words}
		if i < len(f.Model)-1 {
			w.Thickness = pointer(digits(float64(l.Thickness)))
			k.Thickness, k.Bottom = pointer(spanOf(f.Known[i].Thickness)), pointer(spanOf(f.Known[i].Bottom))
			k.Product, k.Quotient = pointer(spanOf(f.Known[i].Product)), pointer(spanOf(f.Known[i].Quotient))
		}
		out.Soil = append(out.Soil, w)
		out.Interval90 = append(out.Interval90, k)
	}
	for _, x := range f.Flagged {
		out.Flagged = append(out.Flagged, x.Index)
		out.Flags = append(out.Flags, flag{x.Index, digits(float64(x.Read)), digits(float64(x.Expected)), x.Reason})
	}
	return json.Marshal(out)
}

// fitError names the member at fault.
func fitError(err error) error {
	var e *soil.Error
	if !errors.As(err, &e) {
		return err
	}
	path := "layers"
	switch {
	case e.Index >= 0 && e.Fault == soil.BadSpacing:
		path = fmt.Sprintf("spacings[%d]", e.Index)
	case e.Index >= 0:
		path = fmt.Sprintf("apparent[%d]", e.Index)
	}
	return &InputError{path, strings.TrimPrefix(e.Error(), "soil: ")}
}

// layerCount reads a number of layers, or "auto", which is 0.
func (o *object) layerCount(name string) int {
	v, ok := o.get(name, true)
	if !ok {
		return 0
	}
	if s, ok := v.(string); ok && s == "auto" {
		return 0
	}
	f, ok := finite(v)
	if n := int(f); ok && float64(n) == f && n >= 1 && n <= soil.MaxFitLayers {
		return n
	}
	o.fail(name, fmt.Sprintf(`must be "auto" or a whole number from 1 to %d`, soil.MaxFitLayers))
	return 0
}

// digits returns six significant digits: more than a fit can mean, and the
// same whatever rounds its last bits.
func digits(x float64) json.Number { return json.Number(strconv.FormatFloat(x, 'g', 6, 64)) }

func pointer[T any](v T) *T { return &v }
