package raceway

import (
	"fmt"
	"math"

	"stubup/base/cite"
	"stubup/base/unit"
)

// Support is how a raceway is supported.
type Support struct {
	Spacing      unit.Metre // greatest distance between supports
	First        unit.Metre // greatest distance from a box, body or end to the first
	FirstRelaxed unit.Metre // where structure allows no nearer one; zero: no relief
	Riser        unit.Metre // greatest distance in a vertical riser with threaded couplings; zero: as Spacing
	Cite         cite.Ref
}

// SupportFor returns the support rule of a kind and size. threaded is for
// straight runs of RMC and IMC with threaded couplings and no support near the
// coupling needed.
func SupportFor(k Kind, t unit.Trade, threaded bool) (Support, bool) {
	tb := supportTable()
	first, ok := tb.Num(string(k), "first")
	if !ok {
		return Support{}, false
	}
	s := Support{First: unit.Metre(first) * unit.Foot, Cite: tb.Cite}
	s.Cite.Place, _ = tb.Cell(string(k), "place")
	if v, ok := tb.Num(string(k), "first_relaxed"); ok {
		s.FirstRelaxed = unit.Metre(v) * unit.Foot
	}
	if v, ok := tb.Num(string(k), "riser"); ok {
		s.Riser = unit.Metre(v) * unit.Foot
	}
	v, ok := tb.Num(string(k), "spacing")
	if !ok {
		v, ok = upTo(supportPvcTable(), t, "spacing")
		s.Cite.Seen = max(s.Cite.Seen, supportPvcTable().Cite.Seen)
	}
	if threaded && (k == RMC || k == IMC) {
		v, ok = upTo(supportRmcTable(), t, "spacing")
		s.Cite = supportRmcTable().Cite
	}
	s.Spacing = unit.Metre(v) * unit.Foot
	return s, ok && t != 0
}

// Ground is what lies over a buried raceway.
type Ground string

// The locations of Table 300.5(A), by short names.
const (
	OpenGround    Ground = "other"          // none of the others
	UnderConcrete Ground = "concrete 2 in"  // in trench under 2 in of concrete
	UnderBuilding Ground = "building"       // in raceway
	UnderSlab     Ground = "slab 4 in"      // 4 in exterior slab, no vehicles, 6 in beyond
	UnderStreet   Ground = "street"         // streets, driveways, parking
	DwellingDrive Ground = "dwelling drive" // drives of one and two family dwellings
	Runway        Ground = "runway"         // airport runways and their strips
)

// Grounds lists the locations in the order of the table.
func Grounds() []Ground {
	return []Ground{OpenGround, UnderConcrete, UnderBuilding, UnderSlab, UnderStreet, DwellingDrive, Runway}
}

// Method is a column of the cover table.
type Method string

// The columns of Table 300.5(A).
const (
	DirectBurial    Method = "direct_burial"
	RigidMetal      Method = "rmc_imc"
	Nonmetallic     Method = "nonmetallic"      // and direct-buried EMT from 2023
	ResidentialGFCI Method = "residential_gfci" // 120 V, 20 A, GFCI
	Landscape       Method = "landscape"        // 30 V and less
)

// MethodOf returns the column that a kind of raceway is in; ok is false for a
// kind that the edition gives none.
func MethodOf(k Kind, edition int) (Method, bool) {
	switch k {
	case RMC, IMC:
		return RigidMetal, true
	case PVC40, PVC80, PVCA, PVCEB, RTRC, HDPE:
		return Nonmetallic, true
	case EMT:
		since, _ := figure("cover.emt.since")
		return Nonmetallic, edition >= int(since)
	}
	return "", false
}

// Cover returns the least cover, from the top of the wiring method to finished
// grade, up to 1000 V. inRaceway matters under a slab only, where the last two
// columns allow less in a raceway. It says nothing of owners' and frost
// depths, which are usually more.
func Cover(g Ground, m Method, inRaceway bool) (unit.Metre, cite.Ref, bool) {
	t := coverTable()
	v, ok := t.Num(string(g), string(m))
	if inRaceway && (m == ResidentialGFCI || m == Landscape) {
		if w, has := t.Num(string(g), "in_raceway"); has {
			v = w
		}
	}
	return unit.Metre(v) * unit.Inch, t.Cite, ok
}

// CoverHigh returns the least cover over 1000 V by kind of raceway; traffic is
// for vehicles over it. EMT and nonmetallic raceways share a column.
func CoverHigh(v unit.Volt, k Kind, traffic bool) (unit.Metre, cite.Ref, bool) {
	t := coverHighTable()
	from, _ := figure("cover.high")
	if float64(v) <= from || k.Flexible() && k != HDPE {
		return 0, t.Cite, false
	}
	col := "nonmetallic"
	if k == RMC || k == IMC {
		col = "rmc_imc"
	}
	if traffic {
		col = "traffic"
	}
	for i, r := range t.Rows {
		to, bounded := cell(t, i, t.Cols[0])
		if bounded && float64(v) > to || r[0] == "" {
			continue
		}
		d, ok := cell(t, i, col)
		return unit.Metre(d) * unit.Inch, t.Cite, ok
	}
	return 0, t.Cite, false
}

// Ribbon returns how far above service conductors the warning ribbon lies, at
// least.
func Ribbon() (unit.Metre, cite.Ref) {
	s, _ := SeparationOf("ribbon.service")
	return s.Least, s.Cite
}

// Separation is a least distance between two buried things.
type Separation struct {
	Key   string
	Words string
	Least unit.Metre
	Cite  cite.Ref
}

// Separations lists all the separation figures, each with its own source. No
// figure for gas and water trenches stands in NFPA 70: the utility decides.
func Separations() []Separation {
	t := separationTable()
	var out []Separation
	for _, r := range t.Rows {
		v, _ := t.Num(r[0], "value")
		w, _ := t.Cell(r[0], "words")
		out = append(out, Separation{Key: r[0], Words: w, Least: unit.Metre(v) * unit.Inch, Cite: rowCite(t, r[0])})
	}
	return out
}

// SeparationOf returns one separation by its key.
func SeparationOf(key string) (Separation, bool) {
	for _, s := range Separations() {
		if s.Key == key {
			return s, true
		}
	}
	return Separation{}, false
}

// RooftopAdder returns what is added to the outdoor temperature for a raceway
// on a roof in the sun, by the clearance from the roof to the bottom of the
// raceway and the edition.
func RooftopAdder(clearance unit.Metre, edition int) (unit.Celsius, cite.Ref) {
	t := rooftopTable()
	c := t.Cite
	c.Edition = fmt.Sprint(edition)
	for i := range t.Rows {
		from, _ := cell(t, i, "from")
		to, _ := cell(t, i, "to")
		below, _ := cell(t, i, "below")
		if edition >= int(from) && edition <= int(to) && clearance.In() < below-1e-9 {
			add, _ := cell(t, i, "add")
			return unit.Celsius(add), c
		}
	}
	return 0, c
}

// Material is what a raceway moves like with temperature.
type Material string

// The materials that have a coefficient.
const (
	PVC      Material = "PVC"
	Resin    Material = "RTRC"
	Steel    Material = "steel"
	Aluminum Material = "aluminum"
)

// MaterialOf returns what a kind is made of; metal kinds are taken as steel
// unless aluminum is said.
func MaterialOf(k Kind, aluminum bool) (Material, bool) {
	switch {
	case k == PVC40 || k == PVC80 || k == PVCA || k == PVCEB:
		return PVC, true
	case k == RTRC:
		return Resin, true
	case k.Metal() && aluminum:
		return Aluminum, true
	case k.Metal():
		return Steel, true
	}
	return "", false
}

// Coefficient returns the thermal coefficient of a material in 1/C.
func Coefficient(m Material) (float64, cite.Ref, bool) {
	t := expansionTable()
	v, ok := t.Num(string(m), "per_f")
	c := t.Cite
	if s, _ := t.Cell(string(m), "seen"); s == "yes" {
		c.Seen = cite.Read
	}
	return v * 9 / 5, c, ok
}

// LengthChange returns the change of length of a run:
//
//	d = a L dT
//
// a the thermal coefficient, 1/C; L the length, m; dT the temperature change,
// C.
func LengthChange(m Material, l unit.Metre, dt unit.Celsius) (unit.Metre, cite.Ref, bool) {
	a, c, ok := Coefficient(m)
	return l * unit.Metre(a*float64(dt)), c, ok
}

// SunAllowance returns what the sun adds to the greatest air temperature for a
// raceway on a wall or roof, as a temperature difference in C.
func SunAllowance() (unit.Celsius, cite.Ref) {
	v, c := figure("expansion.sun")
	return unit.Celsius(v * 5 / 9), c
}

// Expansion is what a run between fixed points needs.
type Expansion struct {
	Change   unit.Metre // between the coldest and hottest pipe
	Trigger  unit.Metre // the change from which a fitting is asked
	Needed   bool
	Fittings int
	Travel   unit.Metre // of all the fittings together
	// At the pipe temperature on setting, for all fittings together:
	ToExpand   unit.Metre // what the pipe will still grow
	ToContract unit.Metre // what it will still shrink
	LeastOpen  unit.Metre // least travel to leave for growth: ToExpand
	MostOpen   unit.Metre // most travel to leave for growth: Travel - ToContract
	Open       unit.Metre // leave this, the slack shared in proportion
	Cite       []cite.Ref
}

// Expand returns the movement of a run and how its fittings are set:
//
//	change = a L (Tmax - Tmin)
//	open   = travel (Tmax - Tset) / (Tmax - Tmin)
//
// Temperatures are those of the pipe; the sun is added to Tmax by the caller.
// travel is that of one fitting. open is the travel that must remain for
// growth; it lies between ToExpand and travel - ToContract because the slack
// is shared in proportion. One side of a fitting is fixed by a strap, the
// other slides. Movement of the ground at a riser is a separate case. Source:
// NFPA 70 352.44(A) and 355.44; for metal 300.7(B) gives no trigger and the
// same is used.
func Expand(m Material, l unit.Metre, tmin, tmax, tset unit.Celsius, travel unit.Metre) (Expansion, error) {
	if !(tmax > tmin) || !(l > 0) {
		return Expansion{}, fmt.Errorf("a length and a coldest and hottest pipe temperature are needed")
	}
	if tset < tmin || tset > tmax {
		return Expansion{}, fmt.Errorf("a pipe at %s F lies outside the range it is designed for", unit.Trim(tset.Fahrenheit(), 0))
	}
	change, c, ok := LengthChange(m, l, tmax-tmin)
	if !ok {
		return Expansion{}, fmt.Errorf("no thermal coefficient is carried for %s: it is the maker's figure", m)
	}
	trig, c2 := figure("expansion.trigger")
	e := Expansion{Change: change, Trigger: unit.Metre(trig) * unit.Inch, Cite: []cite.Ref{c, c2}}
	e.Needed = e.Change >= e.Trigger*(1-tight)
	hot := unit.Metre(float64((tmax - tset) / (tmax - tmin)))
	e.ToExpand, e.ToContract = change*hot, change*(1-hot)
	if !e.Needed {
		return e, nil
	}
	if !(travel > 0) {
		return e, fmt.Errorf("the travel of the fitting is needed: it is the supplier's figure")
	}
	e.Fittings = int(math.Ceil(float64(change/travel) * (1 - tight)))
	e.Travel = travel * unit.Metre(e.Fittings)
	e.LeastOpen, e.MostOpen = e.ToExpand, e.Travel-e.ToContract
	e.Open = e.Travel * hot
	return e, nil
}

// LongestWithout returns the longest run whose change stays under the trigger:
//
//	L = trigger / (a dT)
func LongestWithout(m Material, dt unit.Celsius) (unit.Metre, bool) {
	a, _, ok := Coefficient(m)
	trig, _ := figure("expansion.trigger")
	if !ok || !(dt > 0) {
		return 0, false
	}
	return unit.Metre(trig) * unit.Inch / unit.Metre(a*float64(dt)), true
}
