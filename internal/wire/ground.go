// Package wire reads and writes the JSON of the command, the server and the
// browser. It is pure: bytes in, bytes out.
package wire

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"stubup/base/stable"
	"stubup/base/unit"
	"stubup/trade/ground"
	"stubup/trade/soil"
)

// InputError is JSON that does not say what it must. Path names the member,
// as in soil[0].resistivity.
type InputError struct {
	Path string
	What string
}

func (e *InputError) Error() string {
	if e.Path == "" {
		return e.What
	}
	return e.Path + ": " + e.What
}

// Limits of the machine door. A mesh beyond MaxElements is refused by the
// solver; the others keep a request from being work without end.
const (
	maxElements = 6000
	maxPlaces   = 100_000
	maxSpacings = 10_000
	maxBytes    = 32 << 20
	maxNesting  = 32
)

// CalcElectrodes answers "calc electrodes": the resistance of electrodes to
// earth, their transfer matrix, the potential at points and fall-of-potential
// readings. SI numbers; z is depth, positive down.
func CalcElectrodes(in []byte) ([]byte, error) {
	return CalcElectrodesContext(context.Background(), in)
}

// CalcElectrodesContext is CalcElectrodes that stops when the context ends.
func CalcElectrodesContext(ctx context.Context, in []byte) ([]byte, error) {
	o, err := parse(in)
	if err != nil {
		return nil, err
	}
	m := o.soil("soil")
	var es []ground.Electrode
	for _, e := range o.objects("electrodes", true) {
		var el ground.Electrode
		el.ID = e.text("id", true)
		for _, w := range e.objects("wires", true) {
			wire := ground.Wire{Radius: w.number("radius")}
			wire.Path = w.places("path", true)
			w.done()
			el.Wires = append(el.Wires, wire)
		}
		e.done()
		es = append(es, el)
	}
	points := o.places("points", false)
	name := o.text("energised", false)
	stake, hasStake := o.place("stake")
	probes := o.places("probes", false)
	hasPoints, hasProbes := o.has("points"), o.has("probes")
	o.done()
	switch {
	case o.has("energised"):
	case hasPoints || hasProbes || hasStake:
		o.fail("energised", "is missing: points, stake and probes need it")
	}
	if hasProbes && !hasStake {
		o.fail("stake", "is missing: probes need it")
	}
	if hasStake && !hasProbes {
		o.fail("probes", "is missing: a stake alone reads nothing")
	}
	if err := o.err(); err != nil {
		return nil, err
	}
	s, err := ground.Solve(ctx, m, es, ground.Options{MaxElements: maxElements})
	if err != nil {
		return nil, err
	}
	k := 0
	if o.has("energised") {
		if k = s.Index(name); k < 0 {
			return nil, &InputError{"energised", fmt.Sprintf("no electrode %q; there are %s", name, strings.Join(s.IDs(), ", "))}
		}
	}
	type electrode struct {
		ID         string  `json:"id"`
		Resistance float64 `json:"resistance"`
	}
	type point struct {
		Fraction float64 `json:"fraction"`
	}
	type probe struct {
		Reading    float64 `json:"reading"`
		Superposed float64 `json:"superposed"`
	}
	var out struct {
		Electrodes []electrode `json:"electrodes"`
		Transfer   [][]float64 `json:"transfer"`
		Points     *[]point    `json:"points,omitempty"`
		Probes     *[]probe    `json:"probes,omitempty"`
		Elements   int         `json:"elements"`
	}
	for i, id := range s.IDs() {
		out.Electrodes = append(out.Electrodes, electrode{id, float64(s.Resistance(i))})
	}
	for _, r := range s.Transfer() {
		var row []float64
		for _, v := range r {
			row = append(row, float64(v))
		}
		out.Transfer = append(out.Transfer, row)
	}
	if hasPoints {
		vs, err := s.Potentials(k, points)
		if err != nil {
			return nil, err
		}
		ps := []point{}
		for _, v := range vs {
			ps = append(ps, point{v / float64(s.Resistance(k))})
		}
		out.Points = &ps
	}
	if hasProbes {
		rs, err := s.FallOfPotential(k, stake, probes)
		if err != nil {
			return nil, err
		}
		ps := []probe{}
		for _, r := range rs {
			ps = append(ps, probe{float64(r.Reading), float64(r.Superposed)})
		}
		out.Probes = &ps
	}
	out.Elements = s.Elements()
	return json.Marshal(out)
}

// CalcSounding answers "calc sounding": the apparent resistivity that a
// four-pin survey reads over layers. spacings are a for wenner and AB/2 for
// schlumberger, which also needs mn, the distance of the inner pins: one
// number for all, or one for each spacing.
func CalcSounding(in []byte) ([]byte, error) {
	o, err := parse(in)
	if err != nil {
		return nil, err
	}
	m := o.soil("soil")
	array := o.text("array", true)
	spacings := o.numbers("spacings", true)
	var mn []float64
	switch array {
	case "schlumberger":
		mn = o.numberOrList("mn", len(spacings))
	case "wenner":
	default:
		o.fail("array", fmt.Sprintf(`%q is not known; write "wenner" or "schlumberger"`, array))
	}
	o.done()
	if err := o.err(); err != nil {
		return nil, err
	}
	if len(spacings) > maxSpacings {
		return nil, &InputError{"spacings", fmt.Sprintf("more than %d", maxSpacings)}
	}
	out := struct {
		Apparent []float64 `json:"apparent"`
	}{[]float64{}}
	for i, a := range spacings {
		var rho unit.OhmMetre
		var err error
		if array == "wenner" {
			rho, err = m.Wenner(unit.Metre(a))
		} else {
			if !(mn[i] > 0 && mn[i] < 2*a) {
				return nil, &InputError{"mn", fmt.Sprintf("%g m does not fit between outer pins %g m from the center", mn[i], a)}
			}
			rho, err = m.Schlumberger(unit.Metre(a), unit.Metre(mn[i]))
		}
		if err != nil {
			var se *soil.Error
			if errors.As(err, &se) && se.Fault == soil.BadSpacing {
				return nil, &InputError{fmt.Sprintf("spacings[%d]", i), se.What}
			}
			return nil, err
		}
		out.Apparent = append(out.Apparent, float64(rho))
	}
	return json.Marshal(out)
}

// object is a JSON object being read. Members that were asked for are
// crossed off; done complains about what is left. Faults collect in one place
// and the first is reported.
type object struct {
	path    string
	members map[string]any
	order   []string
	asked   map[string]bool
	faults  *[]*InputError
}

func (o *object) err() error {
	if len(*o.faults) == 0 {
		return nil
	}
	return (*o.faults)[0]
}

func (o *object) at(name string) string {
	if o.path == "" {
		return name
	}
	return o.path + "." + name
}

func (o *object) fail(name, what string) {
	*o.faults = append(*o.faults, &InputError{o.at(name), what})
}

func (o *object) has(name string) bool { _, ok := o.members[name]; return ok }

func (o *object) get(name string, required bool) (any, bool) {
	o.asked[name] = true
	v, ok := o.members[name]
	if !ok && required {
		o.fail(name, "is missing")
	}
	return v, ok
}

func (o *object) done() {
	for _, name := range o.order {
		if o.asked[name] {
			continue
		}
		var known []string
		for k := range o.asked {
			known = append(known, k)
		}
		stable.Ascend(known)
		o.fail(name, "is not known here; known are "+strings.Join(known, ", "))
	}
}

func (o *object) text(name string, required bool) string {
	v, ok := o.get(name, required)
	if !ok {
		return ""
	}
	s, ok := v.(string)
	if !ok || s == "" {
		o.fail(name, "must be a text that is not empty")
	}
	return s
}

func finite(v any) (float64, bool) {
	n, ok := v.(json.Number)
	if !ok {
		return 0, false
	}
	f, err := n.Float64()
	return f, err == nil && !math.IsInf(f, 0)
}

func (o *object) number(name string) float64 {
	v, ok := o.get(name, true)
	if !ok {
		return 0
	}
	f, ok := finite(v)
	if !ok {
		o.fail(name, "must be a finite number")
	}
	return f
}

func (o *object) list(name string, required bool) []any {
	v, ok := o.get(name, required)
	if !ok {
		return nil
	}
	l, ok := v.([]any)
	if !ok || required && len(l) == 0 {
		o.fail(name, "must be a list that is not empty")
		return nil
	}
	if len(l) > maxPlaces {
		o.fail(name, fmt.Sprintf("has more than %d members", maxPlaces))
		return nil
	}
	return l
}

func (o *object) numbers(name string, required bool) []float64 {
	var out []float64
	for i, v := range o.list(name, required) {
		f, ok := finite(v)
		if !ok {
			o.fail(fmt.Sprintf("%s[%d]", name, i), "must be a finite number")
		}
		out = append(out, f)
	}
	return out
}

func (o *object) numberOrList(name string, n int) []float64 {
	v, ok := o.get(name, true)
	if !ok {
		return make([]float64, n)
	}
	if f, ok := finite(v); ok {
		return slices.Repeat([]float64{f}, n)
	}
	l := o.numbers(name, true)
	if len(l) != n {
		o.fail(name, fmt.Sprintf("must be one number, or %d", n))
		return make([]float64, n)
	}
	return l
}

func (o *object) objects(name string, required bool) []*object {
	var out []*object
	for i, v := range o.list(name, required) {
		path := fmt.Sprintf("%s[%d]", name, i)
		c, ok := v.(*object)
		if !ok {
			o.fail(path, "must be an object")
			continue
		}
		c.path, c.faults = o.at(path), o.faults
		out = append(out, c)
	}
	return out
}

func (o *object) triple(path string, v any) [3]float64 {
	var p [3]float64
	l, ok := v.([]any)
	if !ok || len(l) != 3 {
		o.fail(path, "must be [x, y, depth]")
		return p
	}
	for i, c := range l {
		f, ok := finite(c)
		if !ok {
			o.fail(path, "must be [x, y, depth] in finite numbers")
		}
		p[i] = f
	}
	return p
}

func (o *object) place(name string) ([3]float64, bool) {
	v, ok := o.get(name, false)
	if !ok {
		return [3]float64{}, false
	}
	return o.triple(name, v), true
}

func (o *object) places(name string, required bool) [][3]float64 {
	var out [][3]float64
	for i, v := range o.list(name, required) {
		out = append(out, o.triple(fmt.Sprintf("%s[%d]", name, i), v))
	}
	return out
}

// soil reads the layers: every one but the last needs a thickness, the last
// may leave it out.
func (o *object) soil(name string) soil.Model {
	var m soil.Model
	ls := o.objects(name, true)
	for i, l := range ls {
		layer := soil.Layer{Resistivity: unit.OhmMetre(l.number("resistivity"))}
		l.asked["thickness"] = true
		if i < len(ls)-1 || l.has("thickness") {
			layer.Thickness = unit.Metre(l.number("thickness"))
		}
		l.done()
		m = append(m, layer)
	}
	if o.err() != nil {
		return nil
	}
	if err := m.Validate(); err != nil {
		var e *soil.Error
		path := name
		if errors.As(err, &e) && e.Index >= 0 {
			path = fmt.Sprintf("%s[%d]", name, e.Index)
		}
		o.fail(path, strings.TrimPrefix(err.Error(), "soil: "))
	}
	return m
}

// parse reads one JSON object, refusing a member that comes twice, anything
// after it, and nesting without end.
func parse(in []byte) (*object, error) {
	if len(in) > maxBytes {
		return nil, &InputError{"", fmt.Sprintf("more than %d bytes", maxBytes)}
	}
	d := json.NewDecoder(bytes.NewReader(in))
	d.UseNumber()
	v, err := value(d, "", 0)
	if err != nil {
		return nil, err
	}
	o, ok := v.(*object)
	if !ok {
		return nil, &InputError{"", "the input must be a JSON object"}
	}
	if _, err := d.Token(); err != io.EOF {
		return nil, &InputError{"", "something follows the object"}
	}
	o.faults = new([]*InputError)
	return o, nil
}

func value(d *json.Decoder, path string, depth int) (any, error) {
	if depth > maxNesting {
		return nil, &InputError{path, "is nested too deep"}
	}
	t, err := d.Token()
	if err != nil {
		return nil, notJSON(d, err)
	}
	switch t {
	case json.Delim('{'):
		o := &object{members: map[string]any{}, asked: map[string]bool{}, faults: new([]*InputError)}
		for d.More() {
			k, err := d.Token()
			if err != nil {
				return nil, notJSON(d, err)
			}
			name := k.(string)
			p := name
			if path != "" {
				p = path + "." + name
			}
			if o.has(name) {
				return nil, &InputError{p, "comes twice"}
			}
			v, err := value(d, p, depth+1)
			if err != nil {
				return nil, err
			}
			o.members[name] = v
			o.order = append(o.order, name)
		}
		_, err := d.Token()
		return o, notJSON(d, err)
	case json.Delim('['):
		l := []any{}
		for d.More() {
			v, err := value(d, fmt.Sprintf("%s[%d]", path, len(l)), depth+1)
			if err != nil {
				return nil, err
			}
			l = append(l, v)
		}
		_, err := d.Token()
		return l, notJSON(d, err)
	}
	return t, nil
}

func notJSON(d *json.Decoder, err error) error {
	if err == nil {
		return nil
	}
	if err == io.EOF || err == io.ErrUnexpectedEOF {
		return &InputError{"", "the JSON ends too early"}
	}
	return &InputError{"", fmt.Sprintf("not JSON at byte %d: %v", d.InputOffset(), err)}
}
