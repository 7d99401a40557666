package site

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"stubup/base/diag"
	"stubup/base/geom"
	"stubup/base/unit"
)

// maxCorners is how many corners an outline may have: comparing every side
// with every other is quadratic.
const maxCorners = 100

// decoder turns a tree into a site and collects what is wrong.
type decoder struct {
	*source
	file    string
	site    *Site
	diags   diag.List
	cut     bool
	grid    unit.Metre
	gridSet bool
	bare    bool     // a coordinate without a unit was reported
	later   []func() // checks that need the whole site
	objects map[string]int
	spoken  map[string]string // object words -> id
	called  map[string]string // printed name -> id
	runs    map[string]bool
	met     func(shape, key string)
}

func (d *decoder) add(x diag.Diag) {
	x.File = d.file
	if len(d.diags) < maxDiags {
		d.diags.Add(x)
		return
	}
	if !d.cut {
		d.cut = true
		x.Code, x.Level = diag.TooMany, diag.Error
		x.What, x.Mend = fmt.Sprintf("more than %d things are wrong; the rest is not listed", maxDiags), "mend the first of them and check again"
		d.diags.Add(x)
	}
}

// fault reports an error at a value; a nil value is the top of the file.
func (d *decoder) fault(code diag.Code, n *node, path, what, mend string) {
	from, to := 0, 0
	if n != nil {
		from, to = n.from, n.to
	}
	d.faultAt(code, from, to, path, what, mend)
}

func (d *decoder) faultAt(code diag.Code, from, to int, path, what, mend string) {
	if d.cut {
		return
	}
	d.add(diag.Diag{Code: code, Span: d.span(path, from, to), What: what, Mend: mend})
}

func (d *decoder) warn(code diag.Code, n *node, path, what, mend string) {
	if d.cut {
		return
	}
	d.add(diag.Diag{Code: code, Level: diag.Warning, Span: d.span(path, n.from, n.to), What: what, Mend: mend})
}

// part reports an error at a part of a scalar's text.
func (d *decoder) part(code diag.Code, n *node, path string, from, to int, what, mend string) {
	switch {
	case n.raw:
		d.faultAt(code, n.from+from, n.from+max(to, from+1), path, what, mend)
	case n.quoted && n.to-n.from == len(n.text)+2:
		d.faultAt(code, n.from+1+from, n.from+1+max(to, from+1), path, what, mend)
	default:
		d.fault(code, n, path, what, mend)
	}
}

// place returns the span of a value, for the site.
func (d *decoder) place(n *node, path string) diag.Span { return d.span(path, n.from, n.to) }

// fields is a map with a closed set of keys.
type fields struct {
	d     *decoder
	n     *node
	path  string
	shape *Shape
	from  int // where the thing is said to be: its key, or its first line
	to    int
}

// fields opens a map of a shape; a diag where it is not a map.
func (d *decoder) fields(n *node, path, shape string) (*fields, bool) {
	s := shapeIndex[shape]
	if s == nil {
		panic("no shape " + shape)
	}
	if n == nil {
		return nil, false
	}
	if n.kind != mapping {
		d.fault(diag.WrongShape, n, path, describe(n)+" stands where keys are wanted", "write one of its keys on each line: "+some(s.names()))
		return nil, false
	}
	f := &fields{d: d, n: n, path: path, shape: s, from: n.from, to: n.to}
	for _, e := range n.keys {
		switch {
		case !s.has(e.key):
			d.unknownKey(e, path, s.names())
		case e.val.kind == null && !e.val.told && !container(s, e.key):
			d.faultAt(diag.WrongShape, e.from, e.to, join(path, e.key), quote(e.key)+" has no value", "write its value, or take the line out")
		}
	}
	d.twice(n, path, diag.KeyTwice, "key")
	for _, k := range s.Keys {
		if _, ok := n.index[k.Name]; k.Need && !ok {
			d.faultAt(diag.KeyMissing, f.from, d.lineEnd(d.lineOf(f.from)), path, quote(k.Name)+" is missing", fmt.Sprintf("add %s", quote(k.Name+": "+k.Value)))
		}
	}
	return f, true
}

func (d *decoder) twice(n *node, path string, code diag.Code, what string) {
	for _, e := range n.dups {
		first := n.keys[n.index[e.key]]
		d.faultAt(code, e.from, e.to, join(path, e.key), fmt.Sprintf("the %s %s is here twice; the first is on line %d", what, quote(e.key), d.lineOf(first.from)+1), "take one of them out, or give it another name")
	}
}

func container(s *Shape, key string) bool {
	for _, k := range s.Keys {
		if k.Name == key {
			return strings.HasPrefix(k.Value, "map") || strings.HasPrefix(k.Value, "list")
		}
	}
	return false
}

func (d *decoder) unknownKey(e entry, path string, names []string) {
	if d.cut {
		return
	}
	mend := "use one of: " + some(names)
	if near, ok := nearest(e.key, names); ok {
		mend = fmt.Sprintf("write %s", quote(near))
	}
	d.faultAt(diag.KeyUnknown, e.from, e.to, join(path, e.key), quote(e.key)+" is not a key here", mend)
}

func nearest(word string, names []string) (string, bool) {
	if len(word) > 64 {
		return "", false
	}
	return diag.Nearest(word, names[:min(len(names), 200)])
}

// some lists words, the first ones where there are many.
func some(words []string) string {
	if len(words) == 0 {
		return "(there is none)"
	}
	if len(words) > 24 {
		return clipAll(words[:24]) + " ..."
	}
	return clipAll(words)
}

func clipAll(words []string) string {
	out := make([]string, len(words))
	for i, w := range words {
		out[i] = clip(w)
	}
	return strings.Join(out, ", ")
}

func describe(n *node) string {
	switch n.kind {
	case mapping:
		return "a map"
	case list:
		return "a list"
	case null:
		return "nothing"
	}
	return quote(n.text)
}

// node returns the value of a key, or nil where it is absent or empty.
func (f *fields) node(key string) *node {
	if !f.shape.has(key) {
		panic("shape " + f.shape.Name + " has no key " + key)
	}
	e, ok := f.n.get(key)
	if !ok || e.val.kind == null {
		return nil
	}
	if f.d.met != nil {
		f.d.met(f.shape.Name, key)
	}
	return e.val
}

func (f *fields) at(key string) string { return join(f.path, key) }

func (f *fields) has(key string) bool { return f.node(key) != nil }

// keySpan returns the place of a key.
func (f *fields) key(key string) *node {
	e, ok := f.n.get(key)
	if !ok {
		return f.n
	}
	return &node{from: e.from, to: e.to}
}

// missing reports a key that is wanted because of another.
func (f *fields) missing(key, why, mend string) {
	f.d.faultAt(diag.KeyMissing, f.from, f.d.lineEnd(f.d.lineOf(f.from)), f.path, quote(key)+" is missing"+why, mend)
}

// --- scalars ---

func (d *decoder) text(n *node, path string) string {
	if n == nil {
		return ""
	}
	if n.kind != scalar {
		d.fault(diag.WrongShape, n, path, describe(n)+" stands where one value is wanted", "write one value on the line of its key")
		return ""
	}
	return n.text
}

func (f *fields) text(key string) string { return strings.TrimSpace(f.d.text(f.node(key), f.at(key))) }

// word reads one of a set of words.
func (d *decoder) word(n *node, path string, words []string) string {
	if n == nil {
		return ""
	}
	t := strings.TrimSpace(d.text(n, path))
	if n.kind != scalar {
		return ""
	}
	for _, w := range words {
		if strings.EqualFold(t, w) {
			return w
		}
	}
	if d.cut {
		return ""
	}
	mend := "use one of: " + some(words)
	if near, ok := nearest(t, words); ok {
		mend = "write " + quote(near)
	}
	d.fault(diag.WordUnknown, n, path, quote(t)+" is not known here", mend)
	return ""
}

func (f *fields) word(key string, words ...string) string {
	return f.d.word(f.node(key), f.at(key), words)
}

// yes reads yes or no.
func (f *fields) yes(key string) bool { return f.maybe(key) == 1 }

// maybe reads yes (1), no (0) or not said (-1).
func (f *fields) maybe(key string) int {
	n := f.node(key)
	if n == nil {
		return -1
	}
	switch f.d.word(n, f.at(key), []string{"yes", "no", "true", "false"}) {
	case "yes", "true":
		return 1
	case "no", "false":
		return 0
	}
	return -1
}

// said reads "yes" or "no" where not said is a third answer, or one of more
// words.
func (f *fields) said(key string, more ...string) string {
	switch w := f.word(key, append([]string{"yes", "no", "true", "false"}, more...)...); w {
	case "true":
		return "yes"
	case "false":
		return "no"
	default:
		return w
	}
}

// number reads a plain number within lo..hi.
func (d *decoder) number(n *node, path string, lo, hi float64) (float64, bool) {
	if n == nil {
		return 0, false
	}
	t := strings.TrimSpace(d.text(n, path))
	if n.kind != scalar {
		return 0, false
	}
	v, err := strconv.ParseFloat(t, 64)
	switch {
	case notFinite(t) || errors.Is(err, strconv.ErrRange):
		d.fault(diag.NotFinite, n, path, quote(t)+" is not a number that a compound can have", fmt.Sprintf("write a number from %s to %s", trim(lo), trim(hi)))
		return 0, false
	case err != nil:
		d.fault(diag.NotANumber, n, path, quote(t)+" is not a number", fmt.Sprintf("write a number from %s to %s, without a unit", trim(lo), trim(hi)))
		return 0, false
	case v < lo && v <= 0:
		d.fault(diag.NotPositive, n, path, quote(t)+" is not above zero", fmt.Sprintf("write a number from %s to %s", trim(lo), trim(hi)))
		return 0, false
	case v < lo || v > hi:
		d.fault(diag.OutOfRange, n, path, quote(t)+" is out of range", fmt.Sprintf("write a number from %s to %s", trim(lo), trim(hi)))
		return 0, false
	}
	return v, true
}

func trim(v float64) string { return unit.Trim(v, 3) }

func (f *fields) count(key string, lo, hi int) int {
	n := f.node(key)
	v, ok := f.d.number(n, f.at(key), float64(lo), float64(hi))
	if ok && v != math.Trunc(v) {
		f.d.fault(diag.NotANumber, n, f.at(key), quote(n.text)+" is not a whole number", fmt.Sprintf("write a whole number from %d to %d", lo, hi))
		return 0
	}
	return int(v)
}

func notFinite(t string) bool {
	w := strings.ToLower(strings.TrimLeft(strings.TrimSpace(t), "+-."))
	for _, x := range []string{"nan", "inf"} {
		if r, ok := strings.CutPrefix(w, x); ok && (r == "" || r[0] == ' ' || r == "inity" || strings.HasPrefix(r, "inity ")) {
			return true
		}
	}
	return false
}

// reach is what a quantity may be. The bounds are common sense of our own:
// beyond them a unit or a digit is wrong.
type reach struct {
	dim    unit.Dim
	lo, hi float64
	zero   bool      // zero is allowed
	under  diag.Code // of a value that is not positive; not-positive where empty
	bounds string    // in words
}

var (
	anyDepth   = reach{dim: unit.Length, lo: 1e-3, hi: 15, bounds: "0 and 50 ft"}
	ringDepth  = reach{dim: unit.Length, lo: 1e-3, hi: 15, under: diag.AboveGrade, bounds: "0 and 50 ft"}
	rodLength  = reach{dim: unit.Length, lo: 0.3, hi: 100, under: diag.AboveGrade, bounds: "1 ft and 330 ft"}
	rodDia     = reach{dim: unit.Length, lo: 5e-3, hi: 0.15, bounds: "1/4 in and 6 in"}
	smallDia   = reach{dim: unit.Length, lo: 1e-3, hi: 2, bounds: "0 and 6 ft"}
	smallLen   = reach{dim: unit.Length, lo: 1e-3, hi: 30, bounds: "0 and 100 ft"}
	runLen     = reach{dim: unit.Length, lo: 1e-3, hi: 10000, bounds: "0 and 30,000 ft"}
	drivenLen  = reach{dim: unit.Length, lo: 0, hi: 100, zero: true, bounds: "0 and 330 ft"}
	rodLog     = reach{dim: unit.Length, lo: 0.1, hi: 100, bounds: "4 in and 330 ft"}
	shoeLen    = reach{dim: unit.Length, lo: -2, hi: 2, zero: true, bounds: "-6 ft and 6 ft"}
	restLen    = reach{dim: unit.Length, lo: 0, hi: 30, zero: true, bounds: "0 and 100 ft"}
	signedLen  = reach{dim: unit.Length, lo: -1000, hi: 1000, zero: true, bounds: "-3,000 ft and 3,000 ft"}
	layerRho   = reach{dim: unit.Resistivity, lo: 1e-2, hi: 1e7, bounds: "0.01 ohm-m and 10,000,000 ohm-m"}
	layerDepth = reach{dim: unit.Length, lo: 1e-3, hi: 2000, bounds: "0 and 6,500 ft"}
	pinSpace   = reach{dim: unit.Length, lo: 1e-2, hi: 2000, bounds: "0 and 6,500 ft"}
	pinOhms    = reach{dim: unit.Resistance, lo: 1e-6, hi: 1e6, bounds: "0 and 1,000,000 ohm"}
	frostDepth = reach{dim: unit.Length, lo: 0, hi: 15, zero: true, bounds: "0 and 50 ft"}
	limitOhms  = reach{dim: unit.Resistance, lo: 1e-3, hi: 1e5, bounds: "0 and 100,000 ohm"}
	bendAngle  = reach{dim: unit.Angle, lo: 1e-3, hi: 180, bounds: "0 and 180 deg"}
	partAngle  = reach{dim: unit.Angle, lo: 1e-3, hi: 90, bounds: "0 and 90 deg"}
	sumAngle   = reach{dim: unit.Angle, lo: 1e-3, hi: 3600, bounds: "0 and 3,600 deg"}
	workTime   = reach{dim: unit.Time, lo: 1, hi: 366 * 86400, bounds: "1 s and 366 days"}
	waitTime   = reach{dim: unit.Time, lo: 0, hi: 366 * 86400, zero: true, bounds: "0 and 366 days"}
	airTemp    = reach{dim: unit.Temperature, lo: -80, hi: 120, zero: true, bounds: "-112 F and 248 F"}
	loadAmps   = reach{dim: unit.Current, lo: 1e-3, hi: 20000, bounds: "0 and 20 kA"}
	faultAmps  = reach{dim: unit.Current, lo: 1e-3, hi: 1e6, bounds: "0 and 1000 kA"}
	faultTime  = reach{dim: unit.Time, lo: 1e-3, hi: 3600, bounds: "0 and 1 h"}
	lineVolts  = reach{dim: unit.Voltage, lo: 1, hi: 50000, bounds: "1 V and 50 kV"}
	share      = reach{dim: unit.Share, lo: 0, hi: 10, zero: true, bounds: "0 and 1000 %"}
	charge     = reach{dim: unit.Mass, lo: 1e-3, hi: 5, bounds: "1 g and 5 kg"}
	pullForce  = reach{dim: unit.Force, lo: 1, hi: 1e6, bounds: "0.3 lbf and 225,000 lbf"}
	wallForce  = reach{dim: unit.ForcePerLength, lo: 1, hi: 1e6, bounds: "0.1 lbf/ft and 68,000 lbf/ft"}
	cableMass  = reach{dim: unit.MassPerLength, lo: 1e-4, hi: 200, bounds: "0 and 130 lb/ft"}
)

// quantity reads one quantity of text within reach.
func quantity[T ~float64](d *decoder, n *node, path string, r reach) unit.Q[T] {
	if n == nil {
		return unit.Q[T]{}
	}
	t := strings.TrimSpace(d.text(n, path))
	if n.kind != scalar {
		return unit.Q[T]{}
	}
	return measured[T](d, n, path, t, 0, len(n.text), r)
}

// measured reads the quantity t, which stands at from..to in a scalar's text.
func measured[T ~float64](d *decoder, n *node, path, t string, from, to int, r reach) unit.Q[T] {
	var zero unit.Q[T]
	v, err := unit.Parse(t, r.dim)
	if err != nil {
		code, mend := diag.NotANumber, "write it like "+r.dim.Example()
		var ue *unit.Error
		if errors.As(err, &ue) {
			mend = ue.Mend
			switch ue.Fault {
			case unit.NoUnit:
				code = diag.UnitMissing
			case unit.UnknownUnit, unit.WrongUnit:
				code = diag.UnitWrong
			case unit.Unbounded:
				code = diag.NotFinite
			}
		}
		what := strings.ReplaceAll(err.Error(), strconv.Quote(ue.Text), quote(t))
		if notFinite(t) {
			code, what = diag.NotFinite, quote(t)+" is not a number that a compound can have"
		}
		d.part(code, n, path, from, to, clipLong(what), mend)
		return zero
	}
	switch {
	case v <= 0 && !r.zero || v < 0 && r.lo >= 0:
		code, what := r.under, quote(t)+" is not below finished grade"
		if code == "" {
			code, what = diag.NotPositive, quote(t)+" is not above zero"
		}
		mend := "write a value between " + r.bounds
		if code == diag.AboveGrade {
			mend = "write it as a positive length downward, between " + r.bounds
		}
		d.part(code, n, path, from, to, what, mend)
		return zero
	case v < r.lo || v > r.hi:
		d.part(diag.OutOfRange, n, path, from, to, quote(t)+" is out of range", "write a value between "+r.bounds+", and look at its unit")
		return zero
	}
	return unit.Q[T]{SI: T(v), Text: t, Set: true}
}

func clipLong(s string) string {
	r := []rune(s)
	if len(r) > 200 {
		return string(r[:197]) + "..."
	}
	return s
}

func (f *fields) length(key string, r reach) unit.Q[unit.Metre] {
	return quantity[unit.Metre](f.d, f.node(key), f.at(key), r)
}

// --- points ---

// coordinate reads one coordinate; a bare number is in grid units.
func (d *decoder) coordinate(n *node, path string) (float64, bool) {
	if n == nil || n.kind != scalar {
		if n != nil {
			d.fault(diag.WrongShape, n, path, describe(n)+" stands where a coordinate is wanted", "write a point as [x, y]")
		}
		return 0, false
	}
	t := strings.TrimSpace(n.text)
	v, err := bareNumber(t)
	bare := err == nil
	if !bare {
		v, err = unit.Parse(t, unit.Length)
		var ue *unit.Error
		if errors.As(err, &ue) && ue.Fault == unit.NoUnit { // "2-7/8"
			bare = true
			v, err = unit.Parse(t+" m", unit.Length)
		}
	}
	if bare {
		if err == nil && d.grid == 0 {
			if !d.bare && !d.gridSet {
				d.bare = true
				d.fault(diag.Unit, n, path, quote(t)+" has no unit and the document has no grid", "write \"grid: ft\" or \"grid: m\" at the top, or give every coordinate a unit")
			}
			return 0, false
		}
		v *= float64(d.grid)
	}
	if err != nil || math.IsNaN(v) {
		q := measured[unit.Metre](d, n, path, t, 0, len(n.text), signedLen)
		return float64(q.SI), q.Set
	}
	if math.Abs(v) > 20000 {
		d.fault(diag.OutOfRange, n, path, quote(t)+" is out of range", "write a coordinate within 60,000 ft of the origin, and look at its unit")
		return 0, false
	}
	return v, true
}

// bareNumber reads a plain decimal number and nothing else.
func bareNumber(t string) (float64, error) {
	if strings.Trim(t, "0123456789.+-eE") != "" {
		return 0, strconv.ErrSyntax
	}
	v, err := strconv.ParseFloat(t, 64)
	if err != nil || math.Abs(v) > 1e12 {
		return 0, strconv.ErrSyntax
	}
	return v, nil
}

func (d *decoder) coordinates(n *node, path string, want int) ([]float64, bool) {
	if n == nil {
		return nil, false
	}
	form := "[x, y]"
	if want == 3 {
		form = "[x, y, z]"
	}
	if n.kind != list || len(n.items) != want {
		what := describe(n) + " is not a place"
		if n.kind == list {
			what = fmt.Sprintf("a place here has %d numbers, not %d", want, len(n.items))
		}
		d.fault(diag.WrongShape, n, path, what, "write it as "+form)
		return nil, false
	}
	out, ok := make([]float64, want), true
	for i, c := range n.items {
		v, fine := d.coordinate(c, at(path, i))
		out[i], ok = v, ok && fine
	}
	return out, ok
}

func (d *decoder) point(n *node, path string) (geom.Point, bool) {
	v, ok := d.coordinates(n, path, 2)
	if !ok {
		return geom.Point{}, false
	}
	return geom.Point{X: v[0], Y: v[1]}, true
}

func (f *fields) point(key string) (geom.Point, bool) { return f.d.point(f.node(key), f.at(key)) }

// points reads a list of points. Where one of them cannot be read there is no
// list: a shape with a corner left out would be another shape.
func (d *decoder) points(n *node, path string) []geom.Point {
	if n == nil {
		return nil
	}
	if n.kind != list {
		d.fault(diag.WrongShape, n, path, describe(n)+" stands where a list of points is wanted", "write it as [[x, y], [x, y]]")
		return nil
	}
	if len(n.items) == 2 && n.items[0].kind == scalar && n.items[1].kind == scalar {
		d.fault(diag.WrongShape, n, path, "one point stands where a list of points is wanted", "write it as [[x, y]], with brackets around the list too")
		return nil
	}
	var out []geom.Point
	ok := true
	for i, c := range n.items {
		p, fine := d.point(c, at(path, i))
		out, ok = append(out, p), ok && fine
	}
	if !ok {
		return nil
	}
	return out
}

func (f *fields) points(key string) []geom.Point { return f.d.points(f.node(key), f.at(key)) }

// outline reads a closed outline and looks whether it is one.
func (f *fields) outline(key, what string) geom.Outline {
	n := f.node(key)
	pts := geom.Outline(f.points(key))
	if len(pts) == 0 {
		return nil
	}
	d, path := f.d, f.at(key)
	if len(pts) < 3 {
		d.fault(diag.WrongShape, n, path, fmt.Sprintf("%s has %s", what, count(len(pts), "corner")), "give at least three corners, in order around it")
		return nil
	}
	if len(pts) > maxCorners {
		d.fault(diag.TooBig, n, path, fmt.Sprintf("%s has %d corners, more than %d", what, len(pts), maxCorners), "draw it with fewer corners")
		return nil
	}
	for i, s := range pts.Sides() {
		if s.A.Near(s.B) {
			j := (i + 1) % len(pts)
			d.fault(diag.ZeroLength, n.items[j], at(path, j), fmt.Sprintf("%s has two corners in one place", what), "take one of them out; the last corner joins the first by itself")
			return nil
		}
	}
	if p, bad := pts.CrossesItself(); bad {
		d.fault(diag.CrossesItself, n, path, fmt.Sprintf("%s crosses itself at %s", what, d.say(p)), "give the corners in order around it")
		return nil
	}
	return pts
}

// polyline reads an open path.
func (f *fields) polyline(key, what string) []geom.Point {
	n := f.node(key)
	pts := f.points(key)
	if len(pts) == 0 {
		return nil
	}
	if len(pts) < 2 {
		f.d.fault(diag.WrongShape, n, f.at(key), what+" has one point", "give at least two points, from end to end")
		return nil
	}
	for i := 1; i < len(pts); i++ {
		if pts[i].Near(pts[i-1]) {
			f.d.fault(diag.ZeroLength, n.items[i], at(f.at(key), i), what+" has two points in one place", "take one of them out")
			return nil
		}
	}
	return pts
}

// say prints a point in the units of the document.
func (d *decoder) say(p geom.Point) string {
	if d.grid != 0 {
		return fmt.Sprintf("[%s, %s]", trim(p.X/float64(d.grid)), trim(p.Y/float64(d.grid)))
	}
	return fmt.Sprintf("[%s ft, %s ft]", trim(unit.Metre(p.X).Ft()), trim(unit.Metre(p.Y).Ft()))
}

// --- lists and maps ---

// each calls f for every item of a list.
func (d *decoder) each(n *node, path string, f func(i int, n *node, path string)) {
	if n == nil {
		return
	}
	if n.kind != list {
		d.fault(diag.WrongShape, n, path, describe(n)+" stands where a list is wanted", "begin each entry with \"- \" on a line of its own")
		return
	}
	for i, c := range n.items {
		p := at(path, i)
		if c.kind == null && c.told {
			continue
		}
		if c.kind == null {
			d.fault(diag.WrongShape, c, p, "this entry is empty", "write the entry, or take the line out")
			continue
		}
		f(i, c, p)
	}
}

func (f *fields) each(key string, do func(i int, n *node, path string)) {
	f.d.each(f.node(key), f.at(key), do)
}

// named calls f for every key of a map whose keys are the person's own.
func (f *fields) named(key, what string, do func(e entry, path string)) {
	n := f.node(key)
	if n == nil {
		return
	}
	d, path := f.d, f.at(key)
	if n.kind != mapping {
		d.fault(diag.WrongShape, n, path, describe(n)+" stands where a map is wanted", "write the "+what+" as a key, and what belongs to it below")
		return
	}
	d.twice(n, path, diag.Twice, what)
	seen := map[string]string{}
	for _, e := range n.keys {
		p := join(path, e.key)
		if strings.TrimSpace(e.key) == "" {
			d.faultAt(diag.KeyMissing, e.from, e.to, p, "the "+what+" is empty", "give it a name")
			continue
		}
		if other, ok := seen[spoken(e.key)]; ok {
			d.faultAt(diag.Twice, e.from, e.to, p, fmt.Sprintf("%s and %s are one name when spoken", quote(e.key), quote(other)), "give one of them another name")
			continue
		}
		seen[spoken(e.key)] = e.key
		do(e, p)
	}
}

// spoken is a name as it sounds: case, hyphens and blanks aside.
func spoken(s string) string {
	return strings.Join(strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return r == ' ' || r == '-' || r == '_' || r == '\t' }), " ")
}

// --- paths ---

func join(path, key string) string {
	if strings.ContainsAny(key, `.[]"`) || key == "" || strings.TrimSpace(key) != key {
		key = strconv.Quote(key)
	}
	if path == "" {
		return key
	}
	return path + "." + key
}

func at(path string, i int) string { return path + "[" + strconv.Itoa(i) + "]" }

// ref reports a name that is nowhere defined.
func (d *decoder) unknown(n *node, path string, from, to int, name, what string, candidates []string) {
	if d.cut {
		return
	}
	mend := "name one of: " + some(candidates)
	if near, ok := nearest(name, candidates); ok {
		mend = "write " + quote(near)
	} else if len(candidates) == 0 {
		mend = "add " + what + " with this name, or take the entry out"
	}
	d.part(diag.RefUnknown, n, path, from, to, fmt.Sprintf("there is no %s %s", what, quote(name)), mend)
}

// object finds an object by its id, or its words.
func (d *decoder) object(name string) *Object {
	if i, ok := d.objects[name]; ok {
		return &d.site.Objects[i]
	}
	if id, ok := d.spoken[spoken(name)]; ok {
		return &d.site.Objects[d.objects[id]]
	}
	return nil
}

// ids lists the objects of some kinds, or all.
func (d *decoder) ids(kinds ...Kind) []string {
	var out []string
	for _, o := range d.site.Objects {
		if len(kinds) == 0 || slices.Contains(kinds, o.Kind) {
			out = append(out, o.ID)
		}
	}
	return out
}

// refer reads the id of an object of some kinds and checks it once the whole
// site is known. set is called with the id as it stands in objects.
func (d *decoder) refer(n *node, path, what string, set func(id string), kinds ...Kind) {
	t := strings.TrimSpace(d.text(n, path))
	if t == "" {
		return
	}
	d.later = append(d.later, func() {
		o := d.object(t)
		if o == nil || len(kinds) > 0 && !slices.Contains(kinds, o.Kind) {
			d.unknown(n, path, 0, len(n.text), t, what, d.ids(kinds...))
			return
		}
		set(o.ID)
	})
}
