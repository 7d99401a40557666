package answer

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"stubup/base/cite"
	"stubup/base/stable"
	"stubup/base/trace"
	"stubup/base/unit"
	"stubup/plan"
	"stubup/site"
	"stubup/trade/bond"
	"stubup/trade/conductor"
)

// refTemperature is what readings of the metal are foretold for where nobody
// says how warm it is; each is printed with it.
const refTemperature = unit.Celsius(20)

// What one reading of the metal is taken to scatter by, and what all of them
// may share: lengths a little off the layout, a temperature that was guessed.
// The tin is in the range itself. Common practice, no source.
const (
	metalShare  = unit.Ratio(0.05)
	metalFloor  = unit.Ohm(50e-6)
	metalFactor = unit.Ratio(0.06)
)

// Metal is the copper of a plan as a network between its numbered points: the
// ring from joint to joint, whips, radials and rods. Upper ends are not bonded
// in it, nor is an existing ring that a whip is to join: readings are taken
// before that.
type Metal struct {
	*bond.Network
	Loop  unit.Ohm            // of the ring all round
	Words map[string]string   // what a piece is, for people
	Cut   map[string]string   // of a pair of ring joints beside each other "J4|J5": the piece between them
	Ring  []string            // the joints of the ring in walking order
	Tops  []string            // whips in walking order of their taps
	Above map[string]struct{} // the points that backfill leaves within reach
	Where map[string]string   // the point of the network of each numbered point
}

func bareOf(c site.Conductor) conductor.Bare {
	return conductor.Bare{Size: c.Size, Solid: c.Solid, Tinned: c.Tinned}
}

type metalResult struct {
	*Metal
	err error
}

// Metal returns the network with all copper at a temperature.
func (b *Book) Metal(t unit.Celsius) (*Metal, error) {
	r := memo(b, fmt.Sprintf("ground.metal.%g", float64(t)), func() metalResult {
		m, err := b.metal(t)
		return metalResult{m, err}
	})
	return r.Metal, r.err
}

func (b *Book) metal(t unit.Celsius) (*Metal, error) {
	p := b.Plan
	if p.Ring == nil || !p.Wire().Set() {
		return nil, errors.New("no ring with a conductor of a known size is drawn")
	}
	m := &Metal{Words: map[string]string{}, Cut: map[string]string{}, Above: map[string]struct{}{}, Where: map[string]string{}}
	joints := slices.Clone(p.Joints)
	stable.Sort(joints, func(a, b plan.Joint) int { return cmp.Compare(a.Station, b.Station) })
	// Stations are along the ring as it is taken off; it is laid with bent corners.
	bent := p.Ring.Built / p.Ring.Takeoff
	var at []bond.Station
	for _, j := range joints {
		if len(j.Ties) != 2 || j.Ties[0] != "ring" || !j.Kind.Welded() {
			continue
		}
		at = append(at, bond.Station{Name: j.ID, At: j.Station * bent})
		m.Ring = append(m.Ring, j.ID)
		m.Where[j.ID] = j.ID
		if j.Kind == plan.Splice {
			at = append(at, bond.Station{Name: j.ID + " far end", At: j.Station * bent})
		}
	}
	if len(m.Ring) < 2 {
		return nil, errors.New("the ring has fewer than two joints to read between")
	}
	ring, err := bond.Run("ring", at, p.Ring.Built, bareOf(p.Wire()), t)
	if err != nil {
		return nil, err
	}
	var es []bond.Edge
	for _, e := range ring {
		a, z := strings.TrimSuffix(e.From, " far end"), strings.TrimSuffix(e.To, " far end")
		if a == z { // the two ends in a splice
			e = bond.Joint("joint "+a, e.From, e.To, 0)
			m.Words[e.ID] = "splice " + a
		} else {
			m.Words[e.ID] = "the ring between " + a + " and " + z
			m.Cut[a+"|"+z] = e.ID
			m.Loop += e.Ohm
		}
		es = append(es, e)
	}
	joint := func(id, from, to, words string) {
		es = append(es, bond.Joint("joint "+id, from, to, 0))
		m.Words["joint "+id] = words
	}
	radial := map[string]plan.Radial{}
	for _, r := range p.Radials {
		radial[r.ID] = r
	}
	whips := map[string]plan.Whip{}
	for _, w := range p.Whips {
		whips[w.ID] = w
	}
	for _, j := range joints {
		if len(j.Ties) != 2 || j.Ties[0] != "ring" || !j.Kind.Welded() || j.Kind == plan.Splice {
			continue
		}
		id := j.Ties[1]
		if j.Kind == plan.ToRod {
			joint(j.ID, j.ID, id, "the joint "+j.ID+" at rod "+id)
			m.Where[id] = id
			continue
		}
		foot := id + " foot"
		joint(j.ID, j.ID, foot, "the tap "+j.ID+" of "+id)
		if w, ok := whips[id]; ok {
			es = append(es, bond.Wire(id, foot, id, bareOf(w.Wire), w.Cut, t))
			m.Words[id], m.Where[id] = "whip "+id, id
			m.Tops = append(m.Tops, id)
			if w.EndZ >= 0 {
				m.Above[id] = struct{}{}
			}
		} else if r, ok := radial[id]; ok {
			es = append(es, bond.Wire(id, foot, id, bareOf(r.Wire), r.Length, t))
			m.Words[id], m.Where[id] = "radial "+id, id
		}
	}
	for _, j := range joints {
		// A rod at the end of a radial.
		if len(j.Ties) == 2 && j.Ties[0] == "radial" {
			for _, r := range p.Radials {
				if r.To.Dist(j.At) < 0.05 {
					joint(j.ID, r.ID, j.Ties[1], "the joint "+j.ID+" at rod "+j.Ties[1])
					m.Where[j.Ties[1]], m.Where[j.ID] = j.Ties[1], r.ID
				}
			}
		}
		// The upper end of a whip: read at the whip's own end.
		if len(j.Ties) == 2 && m.Where[j.ID] == "" {
			if _, ok := whips[j.Ties[0]]; ok {
				m.Where[j.ID] = j.Ties[0]
			}
		}
	}
	m.Network, err = bond.New(es)
	return m, err
}

// Between foretells the reading between two numbered points.
func (m *Metal) Between(from, to string) (low, high unit.Ohm, missing string) {
	var at [2]string
	for i, id := range []string{from, to} {
		w, ok := m.Where[id]
		if !ok {
			return 0, 0, fmt.Sprintf("%s is no point of the ring, a whip, a radial or a rod", id)
		}
		at[i] = w
	}
	low, high, err := m.Range(at[0], at[1])
	if err != nil {
		return 0, 0, err.Error()
	}
	return low, high, ""
}

// Foretold is the reading between two points: intact, and with the ring open
// between them.
type Foretold struct {
	From, To  string
	Low, High unit.Ohm // intact: bare copper, and with the most that tin may add
	Open      unit.Ohm // with the ring cut between them; 0 where no one cut lies between
	Value     *trace.Value
}

// ContinuityPlan foretells the readings of the ring: from rod to rod, for the
// open trench, and from whip to whip, for afterwards.
func (b *Book) ContinuityPlan() []Foretold {
	return memo(b, "ground.continuity.plan", func() []Foretold {
		m, err := b.Metal(refTemperature)
		if err != nil {
			return nil
		}
		var rods []string
		for _, r := range b.Plan.Rods {
			if !r.Radial && m.Where[r.ID] != "" {
				rods = append(rods, r.ID)
			}
		}
		var tops []string
		for _, w := range m.Tops {
			if _, ok := m.Above[w]; ok {
				tops = append(tops, w)
			}
		}
		var out []Foretold
		for _, ids := range [][]string{rods, tops} {
			for i, id := range ids {
				next := ids[(i+1)%len(ids)]
				if len(ids) < 2 || len(ids) == 2 && i == 1 {
					break
				}
				if f, ok := b.foretold(m, id, next); ok {
					out = append(out, f)
				}
			}
		}
		return out
	})
}

func (b *Book) foretold(m *Metal, from, to string) (Foretold, bool) {
	low, high, missing := m.Between(from, to)
	if missing != "" {
		return Foretold{}, false
	}
	f := Foretold{From: from, To: to, Low: low, High: high}
	if cut := m.between(from, to); cut != "" {
		if r, err := m.BetweenWithout(cut, m.Where[from], m.Where[to]); err == nil && !math.IsInf(float64(r), 0) {
			f.Open = r
		}
	}
	a := b.keep(trace.Derive("ground.continuity."+from+"-"+to, "reading from "+from+" to "+to+", the metal alone", float64(low), "ohm", Milliohms(low)+" to "+Milliohms(high),
		trace.By{ID: "bond.network", Cite: circuitTheory}, b.loop(m)))
	f.Value = a.Value
	return f, a.OK()
}

var circuitTheory = cite.Ref{Work: "circuit theory", Place: "Ohm's and Kirchhoff's laws, nodal analysis", Seen: cite.Derived}

// loop returns the resistance of the ring all round, which all readings of the
// metal come from.
func (b *Book) loop(m *Metal) *trace.Value {
	p := b.Plan
	l := input("ground.ring.built", "length of the ring as laid", float64(p.Ring.Built), "m", p.Site.Units.Run(p.Ring.Built))
	_, c := bareOf(p.Wire()).OhmPerMetre(refTemperature)
	return b.keep(trace.Derive("ground.metal.loop", "resistance of the ring's metal all round, at "+b.temperature(refTemperature), float64(m.Loop), "ohm", Milliohms(m.Loop),
		trace.By{ID: "bond.wire", Equation: "R = r(t) L; between two points G v = e(a) - e(b), R = v(a) - v(b)", Put: fmt.Sprintf("%d pieces, upper ends not bonded", len(m.Edges())), Cite: c}, l)).Value
}

// between returns a piece of the ring on the shorter way between two points,
// or "" where they tap it at one place.
func (m *Metal) between(from, to string) string {
	tap := func(id string) string {
		for _, e := range m.Edges() {
			switch {
			case e.From != "" && strings.HasPrefix(e.ID, "joint ") && (e.To == id || e.To == id+" foot"):
				return e.From
			case id == e.From && slices.Contains(m.Ring, id):
				return id
			}
		}
		return ""
	}
	a, z := slices.Index(m.Ring, tap(from)), slices.Index(m.Ring, tap(to))
	n := len(m.Ring)
	if a < 0 || z < 0 || a == z {
		return ""
	}
	ohm := map[string]unit.Ohm{}
	for _, e := range m.Edges() {
		ohm[e.ID] = e.Ohm
	}
	way := func(a, z int) (first string, sum unit.Ohm) {
		for i := a; i != z; i = (i + 1) % n {
			cut := m.Cut[m.Ring[i]+"|"+m.Ring[(i+1)%n]]
			if first == "" && ohm[cut] > 0 {
				first = cut
			}
			sum += ohm[cut]
		}
		return first, sum
	}
	one, r1 := way(a, z)
	two, r2 := way(z, a)
	if r2 < r1 {
		one = two
	}
	return one
}

// Milliohms prints a resistance of metal.
func Milliohms(r unit.Ohm) string {
	v := 1000 * float64(r)
	if v < 0.0005 {
		return "under 0.001 mohm"
	}
	if v < 1 {
		return unit.Fixed(v, 2) + " mohm"
	}
	return unit.Figures(v, 3) + " mohm"
}

// MilliohmRange prints what lies between two resistances of metal.
func MilliohmRange(low, high unit.Ohm) string {
	a, b := Milliohms(low), Milliohms(high)
	if a == b {
		return a
	}
	return strings.TrimSuffix(a, " mohm") + " to " + b
}

// PairRead is one reading of the metal beside what was foretold.
type PairRead struct {
	Read      site.Continuity
	Low, High unit.Ohm
	At        unit.Celsius
	Open      bool // the meter read through the soil: ohms where thousandths are due
	Missing   string
}

// throughSoil is how many times the whole ring's resistance a reading must be
// to have no metal in its way: soil is ohms. No source.
const throughSoil = 20

// MetalFound is what the readings of the site say of its metal.
type MetalFound struct {
	Pairs   []PairRead
	Found   *bond.Finding
	Words   []string // what is to be said, the most urgent first
	Missing string
}

// Continuity returns the readings of the document beside what the layout
// foretells for their own temperature, and what single break explains them.
func (b *Book) Continuity() MetalFound {
	return memo(b, "ground.continuity", func() MetalFound {
		var out MetalFound
		if len(b.Plan.Site.Continuity) == 0 {
			return out
		}
		ref, err := b.Metal(refTemperature)
		if err != nil {
			return MetalFound{Missing: err.Error()}
		}
		var pairs []bond.Pair
		for _, c := range b.Plan.Site.Continuity {
			r := PairRead{Read: c, At: c.Temperature.Or(refTemperature)}
			m, err := b.Metal(r.At)
			if err != nil {
				r.Missing = err.Error()
			} else {
				r.Low, r.High, r.Missing = m.Between(c.From, c.To)
			}
			r.Open = c.Ohms.SI > throughSoil*ref.Loop
			if r.Missing == "" && r.Low > 0 {
				// All at one temperature, so that one network explains them.
				low, _, _ := ref.Between(c.From, c.To)
				pairs = append(pairs, bond.Pair{A: ref.Where[c.From], B: ref.Where[c.To], Ohm: c.Ohms.SI * low / r.Low, Open: r.Open})
			}
			out.Pairs = append(out.Pairs, r)
		}
		if len(pairs) == 0 {
			return out
		}
		_, tin, _ := bareOf(b.Plan.Wire()).TinShare()
		f, err := ref.FindBreak(pairs, bond.Noise{Share: metalShare, Floor: metalFloor, Low: 1 - metalFactor, High: unit.Ratio(tin) + metalFactor}, b.reach(ref))
		if err != nil {
			out.Missing = err.Error()
			return out
		}
		out.Found = &f
		out.Words = ref.say(f)
		return out
	})
}

// reach lists where a pair can be read: everything while the trench is open.
func (b *Book) reach(m *Metal) []string {
	var out []string
	for _, n := range m.Nodes() {
		for _, id := range m.Where {
			if id == n {
				out = append(out, n)
				break
			}
		}
	}
	return out
}

// say puts a finding into the words of the plan.
func (m *Metal) say(f bond.Finding) []string {
	if !f.Fits {
		return []string{"no single break explains these readings: two breaks, a pair written down wrong, or metal that is not on the layout. Read each pair again"}
	}
	var broken []string
	intact := false
	for _, e := range f.Alike {
		if e.Break == "" {
			intact = true
			continue
		}
		broken = append(broken, m.Words[e.Break])
	}
	var out []string
	switch {
	case intact && len(broken) == 0:
		out = append(out, "these readings are those of whole metal")
	case intact:
		out = append(out, "these readings are those of whole metal; they would not show "+someOf(broken))
	case len(broken) == 1:
		out = append(out, broken[0]+" is cut or dead")
	default:
		out = append(out, "one of these is cut or dead: "+someOf(broken))
	}
	if f.Next[0] != "" && (!intact || len(f.Alike) > 1) {
		out = append(out, "read next from "+f.Next[0]+" to "+f.Next[1])
	}
	return out
}

func someOf(words []string) string {
	const most = 6
	if len(words) > most {
		return strings.Join(words[:most], ", ") + fmt.Sprintf(" and %d more", len(words)-most)
	}
	return strings.Join(words, ", ")
}

// temperature prints a temperature in the site's units.
func (b *Book) temperature(c unit.Celsius) string {
	if b.Plan.Site.Units == unit.SI {
		return unit.Trim(float64(c), 0) + " C"
	}
	return degF(c)
}
