// Package soil describes earth in horizontal layers and what a four-pin
// survey sees of it.
//
// Depth z is positive down, in metres, 0 at finished grade. Resistivities are
// in ohm-metres. Everything that depends on the layers (the apparent
// resistivity of a survey, the field of a buried electrode) follows from the
// two reflection factors Up and Down of a layer, which are here.
package soil

import (
	"fmt"
	"math"

	"stubup/base/unit"
)

// MaxLayers is the largest number of layers that is accepted: readings on the
// surface never tell more of them apart.
const MaxLayers = 6

// Layer is one horizontal layer of even soil.
type Layer struct {
	Resistivity unit.OhmMetre
	Thickness   unit.Metre // 0 in the last layer, which has no lower end
}

// Model is the earth from grade downwards.
type Model []Layer

// Single returns earth of one resistivity.
func Single(rho unit.OhmMetre) Model { return Model{{Resistivity: rho}} }

// TwoLayer returns earth of resistivity upper down to depth h, lower below it.
func TwoLayer(upper, lower unit.OhmMetre, h unit.Metre) Model {
	return Model{{Resistivity: upper, Thickness: h}, {Resistivity: lower}}
}

// Fault says what is wrong with a model or a survey.
type Fault int

// Faults.
const (
	NoLayers Fault = iota
	TooManyLayers
	BadResistivity
	BadThickness
	BadSpacing
	BadReading
	NoReadings
)

// Error is a soil model or a survey that cannot be used. Index is the layer
// or the reading at fault, from 0; -1 where the whole is.
type Error struct {
	Fault Fault
	Index int
	What  string
	Mend  string
}

func (e *Error) Error() string { return "soil: " + e.What }

// The bounds on a resistivity and a thickness: far outside any soil, water or
// rock, near enough that no product of them leaves the range of float64.
const (
	minRho, maxRho = 1e-6, 1e12
	maxThickness   = 1e6
	minThickness   = 1e-6
)

// Validate returns an *Error that names the first layer that cannot be used.
func (m Model) Validate() error {
	if len(m) == 0 {
		return &Error{NoLayers, -1, "no layers", "give at least one layer"}
	}
	if len(m) > MaxLayers {
		return &Error{TooManyLayers, -1, fmt.Sprintf("%d layers, at most %d", len(m), MaxLayers), "join layers that are alike"}
	}
	for i, l := range m {
		rho, h := float64(l.Resistivity), float64(l.Thickness)
		if !(rho >= minRho && rho <= maxRho) {
			return &Error{
				BadResistivity, i, fmt.Sprintf("layer %d: resistivity %g ohm-m is not usable", i+1, rho),
				"give a resistivity above zero, such as 100 ohm-m",
			}
		}
		last := i == len(m)-1
		if last && h != 0 {
			return &Error{
				BadThickness, i, fmt.Sprintf("layer %d: the last layer has thickness %g m, it must be 0 (no lower end)", i+1, h),
				"leave out the thickness of the last layer",
			}
		}
		if !last && !(h >= minThickness && h <= maxThickness) {
			return &Error{
				BadThickness, i, fmt.Sprintf("layer %d: thickness %g m is not usable", i+1, h),
				"give every layer but the last a thickness above zero",
			}
		}
	}
	return nil
}

// Uniform reports whether every layer has the same resistivity, and which.
func (m Model) Uniform() (unit.OhmMetre, bool) {
	if len(m) == 0 {
		return 0, false
	}
	for _, l := range m[1:] {
		if l.Resistivity != m[0].Resistivity {
			return 0, false
		}
	}
	return m[0].Resistivity, true
}

// Merged returns the same earth with neighbors of equal resistivity joined.
func (m Model) Merged() Model {
	var out Model
	for i, l := range m {
		if n := len(out); n > 0 && out[n-1].Resistivity == l.Resistivity {
			out[n-1].Thickness += l.Thickness
			if i == len(m)-1 {
				out[n-1].Thickness = 0
			}
			continue
		}
		out = append(out, l)
	}
	return out
}

// Scale returns the model with every resistivity multiplied by k. A
// resistance to earth scales by the same k exactly.
func (m Model) Scale(k float64) Model {
	out := make(Model, len(m))
	for i, l := range m {
		out[i] = Layer{l.Resistivity * unit.OhmMetre(k), l.Thickness}
	}
	return out
}

// LayerAt returns the index of the layer at depth z. A depth exactly on a
// boundary belongs to the layer above it.
func (m Model) LayerAt(z unit.Metre) int {
	var d unit.Metre
	for i, l := range m[:len(m)-1] {
		d += l.Thickness
		if z <= d {
			return i
		}
	}
	return len(m) - 1
}

// Boundaries returns the depth of the lower end of every layer but the last.
func (m Model) Boundaries() []unit.Metre {
	var out []unit.Metre
	var d unit.Metre
	for _, l := range m[:max(0, len(m)-1)] {
		d += l.Thickness
		out = append(out, d)
	}
	return out
}

// Reflections returns, for every layer, the factor by which a wave of
// horizontal wave number lambda (1/m) is sent back at the layer's upper end
// (up) and at its lower end (down):
//
//	down[n] = 0
//	down[i] = (k + down[i+1] e) / (1 + k down[i+1] e),  k = (rho[i+1]-rho[i])/(rho[i+1]+rho[i]),  e = exp(-2 lambda h[i+1])
//	up[0]   = 1  (no current leaves into air)
//	up[i]   = (k + up[i-1] e) / (1 + k up[i-1] e),      k = (rho[i-1]-rho[i])/(rho[i-1]+rho[i]),  e = exp(-2 lambda h[i-1])
//
// rho resistivity in ohm-m, h thickness in m. lambda may be +Inf, where only
// the nearest boundary is seen. The recurrence is Pekeris's for layered earth
// (from memory; the image series is its check).
func (m Model) Reflections(lambda float64, up, down []float64) {
	n := len(m)
	down[n-1] = 0
	for i := n - 2; i >= 0; i-- {
		a, b := float64(m[i].Resistivity), float64(m[i+1].Resistivity)
		k := (b - a) / (b + a)
		t := 0.0
		if i+1 < n-1 {
			t = down[i+1] * decay(lambda, float64(m[i+1].Thickness))
		}
		down[i] = (k + t) / (1 + k*t)
	}
	up[0] = 1
	for i := 1; i < n; i++ {
		a, b := float64(m[i].Resistivity), float64(m[i-1].Resistivity)
		k := (b - a) / (b + a)
		t := up[i-1] * decay(lambda, float64(m[i-1].Thickness))
		up[i] = (k + t) / (1 + k*t)
	}
}

func decay(lambda, h float64) float64 { return math.Exp(-2 * lambda * h) }
