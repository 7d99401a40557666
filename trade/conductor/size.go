package conductor

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"stubup/base/cite"
	"stubup/base/unit"
)

// Ampacity returns the printed ampacity of a conductor at 30 C ambient with
// not more than three current-carrying conductors together, by temperature
// column (60, 75 or 90 C); ok is false where none is printed. The figures are
// those of the 2011 to 2023 editions.
func Ampacity(w unit.Wire, m Material, column int) (unit.Ampere, cite.Ref, bool) {
	t := ampacity()
	col := "cu"
	if m == Aluminum {
		col = "al"
	}
	v, ok := t.Num(w.Name(), col+strconv.Itoa(column))
	return unit.Ampere(v), t.Cite, ok
}

// InsulationColumn returns the temperature column that the letters of an
// insulation allow, dry or wet; ok is false where they are not known, or may
// not lie wet. Inside of a raceway below grade, or outdoors where rain comes
// to it, is wet.
func InsulationColumn(letters string, wet bool) (int, cite.Ref, bool) {
	t := columns()
	col := "dry"
	if wet {
		col = "wet"
	}
	v, ok := t.Num(letters, col)
	return int(v), t.Cite, ok
}

// TerminationColumn returns the temperature column that the terminals allow
// where nothing is marked: 60 C up to 100 A, 75 C above. Source: NFPA 70
// 110.14(C)(1), from memory.
func TerminationColumn(circuit unit.Ampere, marked75 bool) int {
	limit, _ := figure("termination.amps")
	key := "termination.large"
	if float64(circuit) <= limit && !marked75 {
		key = "termination.small"
	}
	col, _ := figure(key)
	return int(col)
}

// AmbientFactor returns the printed correction for an ambient temperature, by
// column; ok is false where none is printed.
func AmbientFactor(t unit.Celsius, column int) (float64, cite.Ref, bool) {
	tb := ambient()
	for i := range tb.Rows {
		if hi, _ := at(tb, i, "hi"); float64(t) <= hi {
			f, ok := at(tb, i, "c"+strconv.Itoa(column))
			return f, tb.Cite, ok
		}
	}
	return 0, tb.Cite, false
}

// AmbientLaw returns the correction by the law behind the table:
//
//	f = sqrt((Tc - Ta) / (Tc - 30))
//
// with Tc the temperature column and Ta the ambient temperature, C. It is NaN
// where Ta is above Tc. Source: NFPA 70 equation 310.15(B).
func AmbientLaw(t unit.Celsius, column int) float64 {
	return math.Sqrt((float64(column) - float64(t)) / (float64(column) - 30))
}

// BundlingFactor returns the printed adjustment for n current-carrying
// conductors in one raceway; it is 1 up to three.
func BundlingFactor(n int) (float64, cite.Ref) {
	tb := bundling()
	for i := len(tb.Rows) - 1; i >= 0; i-- {
		if lo, _ := at(tb, i, "lo"); n >= int(lo) {
			f, _ := at(tb, i, "factor")
			return f, tb.Cite
		}
	}
	return 1, tb.Cite
}

// NippleLength returns the longest raceway that needs no bundling adjustment.
func NippleLength() (unit.Metre, cite.Ref) {
	v, c := figure("nipple.length")
	return unit.Metre(v) * unit.Inch, c
}

// Derating is an ampacity with its corrections.
type Derating struct {
	Table    unit.Ampere // printed, at 30 C
	Ambient  float64
	Bundling float64
	Ampacity unit.Ampere // the product
	Cite     []cite.Ref
}

// Derate returns the ampacity of a conductor in an ambient temperature among n
// current-carrying conductors:
//
//	I = I30 f_ambient f_bundling
//
// An EGC and a neutral that carries only the unbalance are not counted in n; a
// neutral laden with harmonics is.
func Derate(w unit.Wire, m Material, column int, ta unit.Celsius, n int) (Derating, error) {
	i, c1, ok := Ampacity(w, m, column)
	if !ok {
		return Derating{}, fmt.Errorf("no %d C ampacity is printed for %v %v", column, w, m)
	}
	fa, c2, ok := AmbientFactor(ta, column)
	if !ok {
		return Derating{}, fmt.Errorf("no %d C correction is printed for %s C ambient", column, unit.Trim(float64(ta), 1))
	}
	fb, c3 := BundlingFactor(n)
	return Derating{Table: i, Ambient: fa, Bundling: fb, Ampacity: i * unit.Ampere(fa*fb), Cite: []cite.Ref{c1, c2, c3}}, nil
}

// SmallLimit returns the largest overcurrent device of a small conductor; ok
// is false for sizes that have no such limit.
func SmallLimit(w unit.Wire, m Material) (unit.Ampere, cite.Ref, bool) {
	col := "cu"
	if m == Aluminum {
		col = "al"
	}
	v, ok := small().Num(w.Name(), col)
	return unit.Ampere(v), small().Cite, ok
}

// StandardOCPD lists the standard ratings of an edition, rising.
func StandardOCPD(edition int) []unit.Ampere {
	t := ocpd()
	var out []unit.Ampere
	for i, r := range t.Rows {
		if since, ok := at(t, i, "since"); ok && edition < int(since) {
			continue
		}
		if v, err := strconv.ParseFloat(r[0], 64); err == nil {
			out = append(out, unit.Ampere(v))
		}
	}
	return out
}

// NextOCPD returns the smallest standard rating that is not under a current;
// ok is false above the largest.
func NextOCPD(i unit.Ampere, edition int) (unit.Ampere, cite.Ref, bool) {
	for _, v := range StandardOCPD(edition) {
		if v >= i*(1-1e-12) {
			return v, ocpd().Cite, true
		}
	}
	return 0, ocpd().Cite, false
}

// LargestOCPD returns the largest device that may protect a conductor of an
// ampacity: the next standard rating up to 800 A, above that the largest
// rating that the ampacity carries, and no more than the limit of a small
// conductor.
func LargestOCPD(w unit.Wire, m Material, amp unit.Ampere, edition int) (unit.Ampere, []cite.Ref, bool) {
	lim, c := figure("ocpd.nextup.max")
	next, c2, ok := NextOCPD(amp, edition)
	if !ok || (next > unit.Ampere(lim) && next > amp) {
		ok = false
		for _, v := range StandardOCPD(edition) {
			if v <= amp {
				next, ok = v, true
			}
		}
	}
	refs := []cite.Ref{c, c2}
	if s, c3, has := SmallLimit(w, m); has && s < next {
		next = s
		refs = append(refs, c3)
	}
	return next, refs, ok
}

func material(m Material) string {
	if m == Aluminum {
		return "al"
	}
	return "cu"
}

// EGC returns the least equipment grounding conductor for an overcurrent
// device; ok is false above the table. The figures are those of 2014 and
// later: three aluminum rows above 3000 A differed before.
func EGC(device unit.Ampere, m Material) (unit.Wire, cite.Ref, bool) {
	t := egc()
	for i := range t.Rows {
		if v, _ := at(t, i, "ocpd"); float64(device) <= v {
			s, _ := t.Cell(t.Rows[i][0], material(m))
			w, err := unit.ParseWire(s)
			return w, t.Cite, err == nil
		}
	}
	return 0, t.Cite, false
}

// SizeFor returns the smallest size whose circular mils are not under cmil.
func SizeFor(cmil float64) (unit.Wire, bool) {
	for _, w := range unit.Wires() {
		if c := CircularMils(w); c >= cmil*(1-1e-9) {
			return w, true
		}
	}
	return 0, false
}

// UpsizedEGC is an equipment grounding conductor grown with its circuit.
type UpsizedEGC struct {
	Base  unit.Wire // by the table
	Ratio float64   // installed over needed circular mils, never under 1
	CMil  float64   // needed
	Size  unit.Wire
	Cite  cite.Ref
}

// UpsizeEGC returns the EGC where the ungrounded conductors are larger than
// the circuit needs:
//
//	cmil = cmil(table) x cmil(installed) / cmil(needed)
//
// needed is the size with sufficient ampacity, installed what is run, both
// counted over all parallel sets. It need never be larger than the circuit
// conductors. Growth only for ambient or bundling does not count from 2020.
// Source: NFPA 70 250.122(A), (B).
func UpsizeEGC(device unit.Ampere, m Material, needed, installed unit.Wire) (UpsizedEGC, error) {
	w, c, ok := EGC(device, m)
	if !ok {
		return UpsizedEGC{}, fmt.Errorf("no EGC is printed for a %s A device", unit.Trim(float64(device), 0))
	}
	a, b := CircularMils(needed), CircularMils(installed)
	if a == 0 || b == 0 {
		return UpsizedEGC{}, fmt.Errorf("the sizes needed and installed must both be given")
	}
	u := UpsizedEGC{Base: w, Ratio: max(1, b/a), Cite: c}
	u.CMil = CircularMils(w) * u.Ratio
	u.Cite.Place = "250.122(B)"
	s, ok := SizeFor(u.CMil)
	if !ok {
		return u, fmt.Errorf("%s circular mils is above the largest size", unit.Trim(u.CMil, 0))
	}
	u.Size = min(s, installed)
	return u, nil
}

// To says where a grounding electrode conductor ends.
type To uint8

// Electrodes that cap the size of a conductor that is their sole connection.
const (
	ToSystem   To = iota // no cap: several electrodes, water pipe, structure
	ToRod                // rods, pipes, plates only
	ToConcrete           // concrete-encased electrode only
	ToRing               // ground ring only
)

// GEC is the size of a grounding electrode conductor.
type GEC struct {
	Size   unit.Wire
	Table  unit.Wire // before the cap
	Capped bool
	Cite   cite.Ref
}

// GECFor returns the least grounding electrode conductor for ungrounded
// service or derived conductors of cmil circular mils (the sum of a parallel
// set). A sole connection to rods, concrete or a ring need not be larger than
// the cap; for a ring the cap is the ring conductor, for which ring may be
// zero (then the least ring conductor). Source: NFPA 70 250.66.
func GECFor(cmil float64, ungrounded, gecMaterial Material, to To, ring unit.Wire) (GEC, error) {
	if !(cmil > 0) || math.IsInf(cmil, 0) {
		return GEC{}, fmt.Errorf("the circular mils of the largest ungrounded conductor must be given")
	}
	w, c, ok := table66(cmil, ungrounded, gecMaterial)
	if !ok {
		return GEC{}, fmt.Errorf("no size is printed")
	}
	g := GEC{Size: w, Table: w, Cite: c}
	limit, cc := unit.Wire(0), cite.Ref{}
	switch {
	case to == ToRod && gecMaterial == Aluminum:
		limit, cc = figureWire("gec.rod.al")
	case to == ToRod:
		limit, cc = figureWire("gec.rod.cu")
	case to == ToConcrete && gecMaterial == Copper:
		limit, cc = figureWire("gec.concrete.cu")
	case to == ToRing && gecMaterial == Copper:
		least, c2 := figureWire("gec.ring.cu")
		limit, cc = max(least, ring), c2
	}
	if limit != 0 && limit < w {
		g.Size, g.Capped, g.Cite = limit, true, cc
	}
	return g, nil
}

func table66(cmil float64, ungrounded, m Material) (unit.Wire, cite.Ref, bool) {
	t := gec()
	for i, r := range t.Rows {
		limit, _ := t.Cell(r[0], material(ungrounded)+"_max")
		if limit == "" || cmil <= designatorCMil(limit)*(1+1e-9) {
			s, _ := t.Cell(t.Rows[i][0], material(m))
			w, err := unit.ParseWire(s)
			return w, t.Cite, err == nil
		}
	}
	return 0, t.Cite, false
}

// designatorCMil reads a size that may be no stock size, as 1100 kcmil is.
func designatorCMil(s string) float64 {
	if w, err := unit.ParseWire(s); err == nil {
		return CircularMils(w)
	}
	v, _ := strconv.ParseFloat(s, 64)
	return v * 1000
}

// BondingJumper returns the least main, system or supply-side bonding jumper
// for ungrounded conductors of cmil circular mils (the set): the rows of
// 250.66, and above their last limit an eighth of the set. Both of one
// material. Source: NFPA 70 Table 250.102(C)(1).
func BondingJumper(cmil float64, m Material) (unit.Wire, cite.Ref, error) {
	t := gec()
	last, _ := t.Cell(t.Rows[len(t.Rows)-2][0], material(m)+"_max")
	c := figureCite("bonding.share")
	if cmil > designatorCMil(last) {
		share, _ := figure("bonding.share")
		w, ok := SizeFor(cmil * share)
		if !ok {
			return 0, c, fmt.Errorf("%s circular mils is above the largest size", unit.Trim(cmil*share, 0))
		}
		return w, c, nil
	}
	g, err := GECFor(cmil, m, m, ToSystem, 0)
	c.Place = strings.TrimSuffix(c.Place, " note 1")
	return g.Size, c, err
}

// VerticalSupport returns the greatest spacing of supports of conductors in a
// vertical raceway.
func VerticalSupport(w unit.Wire, m Material) (unit.Metre, cite.Ref, bool) {
	t := vertical()
	for i, r := range t.Rows {
		if to, err := unit.ParseWire(r[0]); err == nil && w <= to && w != 0 {
			v, ok := at(t, i, material(m))
			return unit.Metre(v) * unit.Foot, t.Cite, ok
		}
	}
	return 0, t.Cite, false
}

// BendSpace returns the least space at a terminal, or over a raceway that
// enters the wall opposite a cover, for a number of wires per terminal; ok is
// false where the table prints none.
func BendSpace(w unit.Wire, wires int) (unit.Metre, cite.Ref, bool) {
	t := bendspace()
	for i, r := range t.Rows {
		if to, err := unit.ParseWire(r[0]); err == nil && w <= to && w != 0 {
			v, ok := at(t, i, "w"+strconv.Itoa(wires))
			return unit.Metre(v) * unit.Inch, t.Cite, ok
		}
	}
	return 0, t.Cite, false
}
