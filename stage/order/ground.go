package order

import (
	"cmp"
	_ "embed" // the practice table beside this file
	"fmt"
	"math"
	"slices"
	"strings"

	"stubup/base/stable"
	"stubup/base/table"
	"stubup/base/unit"
	"stubup/plan"
	"stubup/site"
	"stubup/trade/conductor"
	"stubup/trade/joint"
	"stubup/trade/stock"
)

//go:embed tables/practice.csv
var practiceCSV string

var practice = table.Lazy(practiceCSV)

// practiceLength returns a length of the practice table.
func practiceLength(key string) unit.Metre {
	v, ok := practice().Num(key, "value")
	if !ok {
		panic("order: no practice figure " + key)
	}
	if u, _ := practice().Cell(key, "unit"); u == "ft" {
		return unit.Metre(v) * unit.Foot
	}
	return unit.Metre(v) * unit.Inch
}

// step is the unit that lengths are bought by.
func (b *bill) step() (unit.Metre, string) {
	if b.site.Units == unit.SI {
		return 1, "m"
	}
	return unit.Foot, "ft"
}

// length prints a length in the unit it is bought by, to a tenth.
func (b *bill) length(m unit.Metre) string {
	s, w := b.step()
	return unit.Trim(float64(m/s), 1) + " " + w
}

// share prints a ratio as per cent.
func share(r unit.Ratio) string { return unit.Trim(float64(r)*100, 1) + " %" }

// conductor lists the bare conductor, one row for each kind of wire.
func (b *bill) conductor() {
	type wire struct {
		text   string
		terms  []string
		length unit.Metre
		whole  []unit.Metre // lengths that come off a put-up in one piece
		ids    []string
	}
	var wires []*wire
	of := func(c site.Conductor) *wire {
		for _, w := range wires {
			if same(w.text, c.Text) {
				return w
			}
		}
		w := &wire{text: c.Text}
		wires = append(wires, w)
		return w
	}
	p := b.plan
	if p.Ring != nil {
		w := of(p.Wire())
		w.length += p.Ring.Takeoff
		w.terms = append(w.terms, "ring "+b.length(p.Ring.Takeoff))
		n := max(1, p.Ring.Pieces)
		for range n {
			w.whole = append(w.whole, p.Ring.Takeoff/unit.Metre(n))
		}
		w.ids = append(w.ids, "ring")
	}
	type sub struct {
		n int
		l unit.Metre
	}
	whips, radials := map[*wire]*sub{}, map[*wire]*sub{}
	tally := func(m map[*wire]*sub, w *wire, id string, l unit.Metre) {
		if m[w] == nil {
			m[w] = &sub{}
		}
		m[w].n++
		m[w].l += l
		w.length += l
		w.whole = append(w.whole, l)
		w.ids = append(w.ids, id)
	}
	for _, x := range p.Whips {
		tally(whips, of(x.Wire), x.ID, x.Length)
	}
	for _, x := range p.Radials {
		tally(radials, of(x.Wire), x.ID, x.Length)
	}
	for _, w := range wires {
		if s := whips[w]; s != nil {
			w.terms = append(w.terms, count(s.n, "whip")+" "+b.length(s.l))
		}
		if s := radials[w]; s != nil {
			w.terms = append(w.terms, count(s.n, "radial")+" "+b.length(s.l))
		}
		step, name := b.step()
		l := Line{Key: "conductor/" + plain(w.text), Group: Conductor, Item: w.text, Unit: name, For: w.ids, names: []string{w.text, "conductor"}}
		if w.text == "" {
			l.Item, l.Missing = "bare conductor", "which conductor: size, solid or stranded, tinned or bare"
			b.add(l)
			continue
		}
		spare := b.site.Supplies.WireSpare
		l.Count = tidy(float64(w.length / step))
		l.Spare = tidy(l.Count * float64(spare.Or(0)))
		l.Asked = math.Ceil(l.Count + l.Spare - 1e-6)
		l.Quantity = l.Asked
		sum := strings.Join(w.terms, " + ")
		if len(w.terms) > 1 {
			sum += " = " + b.length(w.length)
		}
		if spare.Set {
			sum += fmt.Sprintf("; + %s = %s, up to %s %s", share(spare.SI), unit.Trim(l.Count+l.Spare, 1), unit.Trim(l.Asked, 0), name)
		} else {
			sum += fmt.Sprintf("; no spare said, up to %s %s", unit.Trim(l.Asked, 0), name)
		}
		puts, why := putUps(l.Asked, step, w.whole, b.site.Supplies.PutUps)
		switch {
		case why != "":
			sum += "; " + why
		default:
			l.puts = puts
			var total unit.Metre
			for _, q := range puts {
				total += q
			}
			l.Quantity = tidy(float64(total / step))
			sum += "; asked as a " + putUpWords(puts, name) + " put-up"
			if len(puts) > 1 {
				sum = strings.Replace(sum, "asked as a ", "asked as ", 1) + "s"
			}
			if p.Ring != nil && p.Ring.Pieces <= 1 && w.ids[0] == "ring" {
				sum += ", the ring in one piece"
			}
		}
		l.Sum = sum
		b.add(l)
	}
}

func putUpWords(puts []unit.Metre, name string) string {
	step := unit.Foot
	if name == "m" {
		step = 1
	}
	var parts []string
	for i := 0; i < len(puts); {
		j := i
		for j < len(puts) && puts[j] == puts[i] {
			j++
		}
		part := unit.Trim(float64(puts[i]/step), 1) + " " + name
		if j-i > 1 || j-i < len(puts) {
			part = fmt.Sprintf("%d x %s", j-i, part)
		}
		parts = append(parts, part)
		i = j
	}
	return strings.Join(parts, " + ")
}

// putUps chooses among the lengths that the supplier has: the least length in
// all that is not under what is asked and out of which every piece can be cut
// whole, since copper is whole between joints; among those the fewest.
func putUps(asked float64, step unit.Metre, whole []unit.Metre, offer []unit.Q[unit.Metre]) ([]unit.Metre, string) {
	if len(offer) == 0 {
		return nil, "put-up: ask the supplier which lengths can be had"
	}
	longest := unit.Metre(0)
	for _, w := range whole {
		longest = max(longest, w)
	}
	var have []unit.Metre
	for _, o := range offer {
		if o.Set {
			have = append(have, o.SI)
		}
	}
	if len(have) == 0 || slices.Max(have) < longest*(1-1e-9) {
		return nil, fmt.Sprintf("no put-up on offer is as long as the longest piece, %s %s in one piece", unit.Trim(float64(longest/step), 1), stepName(step))
	}
	choose := func(want, least unit.Metre) ([]unit.Metre, unit.Metre) {
		got, err := stock.Conductor(want, 0, have, least)
		if err != nil {
			return nil, 0
		}
		var puts []unit.Metre
		for _, l := range got.Lengths {
			puts = append(puts, nearest(l, have))
		}
		return puts, got.Total
	}
	// The least set that has the length may not yield the pieces: then a
	// longer one is looked at, up to that of put-ups which all hold the
	// longest piece.
	asks := unit.Metre(asked) * step
	long, most := choose(asks, longest)
	for want := asks; ; {
		puts, total := choose(want, 0)
		if puts == nil || (long != nil && total >= most) {
			break
		}
		if fits(puts, whole) {
			return puts, ""
		}
		want = total + unit.Foot
		if want > 3*asks+slices.Max(have) {
			break
		}
	}
	if long != nil && fits(long, whole) {
		return long, ""
	}
	return nil, "no set of put-ups on offer yields every piece whole"
}

// tidy takes the noise of conversion off a quantity.
func tidy(v float64) float64 { return math.Round(v*1e6) / 1e6 }

func stepName(step unit.Metre) string {
	if step == 1 {
		return "m"
	}
	return "ft"
}

// nearest undoes the rounding to whole feet of the choice.
func nearest(l unit.Metre, have []unit.Metre) unit.Metre {
	best := have[0]
	for _, h := range have {
		if math.Abs(float64(h-l)) < math.Abs(float64(best-l)) {
			best = h
		}
	}
	return best
}

// fits reports whether the pieces can be cut out of the put-ups, longest
// piece first, each from the fullest put-up that still has room.
func fits(puts, whole []unit.Metre) bool {
	left := slices.Clone(puts)
	pieces := slices.Clone(whole)
	stable.Sort(pieces, func(a, b unit.Metre) int { return cmp.Compare(b, a) })
	for _, w := range pieces {
		best := -1
		for i, l := range left {
			if l >= w-1e-9 && (best < 0 || l < left[best]) {
				best = i
			}
		}
		if best < 0 {
			return false
		}
		left[best] -= w
	}
	return true
}

// rods lists rods, or the sections they are made of.
func (b *bill) rods() {
	w := b.site.Ground.Rods
	if w == nil || len(b.plan.Rods) == 0 {
		return
	}
	sys := b.site.Units
	type kind struct {
		radius, length unit.Metre
		sections       int
		ids            []string
	}
	var kinds []*kind
	for _, r := range b.plan.Rods {
		n := max(1, r.Sections)
		if w.Section.Set && w.Section.SI > 0 {
			n = max(n, int(math.Ceil(float64(r.Length/w.Section.SI)-1e-9)))
		}
		i := slices.IndexFunc(kinds, func(k *kind) bool {
			return math.Abs(float64(k.radius-r.Radius)) < 1e-6 && math.Abs(float64(k.length-r.Length)) < 1e-6 && k.sections == n
		})
		if i < 0 {
			kinds = append(kinds, &kind{radius: r.Radius, length: r.Length, sections: n})
			i = len(kinds) - 1
		}
		kinds[i].ids = append(kinds[i].ids, r.ID)
	}
	for _, k := range kinds {
		dia := sys.Short(2 * k.radius)
		n := len(k.ids)
		if k.sections == 1 {
			item := "rod " + dia + " x " + sys.Length(k.length)
			b.each(Line{Key: "rod/" + item, Group: Rods, Item: item, For: k.ids, Sum: count(n, "rod") + " at " + IDs(k.ids), names: []string{item, "rod"}}, n)
			continue
		}
		section := w.Section.SI
		if !w.Section.Set {
			section = k.length / unit.Metre(k.sections)
		}
		item := "rod section " + dia + " x " + sys.Length(section)
		b.each(Line{Key: "rod/" + item, Group: Rods, Item: item, For: k.ids, Sum: fmt.Sprintf("%s of %s, %d sections each", count(n, "rod"), sys.Length(k.length), k.sections), names: []string{item, "rod section"}}, n*k.sections)
		item = "rod coupling " + dia
		b.each(Line{Key: "rod-coupling/" + dia + "/" + sys.Length(k.length), Group: Rods, Item: item, For: k.ids, Sum: fmt.Sprintf("%s, %d between the sections of each", count(n, "rod"), k.sections-1), names: []string{item, "rod coupling"}}, n*(k.sections-1))
		item = "driving point " + dia
		b.each(Line{Key: "rod-point/" + dia + "/" + sys.Length(k.length), Group: Rods, Item: item, For: k.ids, Sum: fmt.Sprintf("one for each of %s; none where the first section comes pointed", count(n, "rod")), names: []string{item, "driving point"}}, n)
		item = "driving stud " + dia
		b.each(Line{Key: "rod-stud/" + dia + "/" + sys.Length(k.length), Group: Rods, Item: item, For: k.ids, Sum: "sectional rods are driven on a stud; one, and one for when its thread goes", names: []string{item, "driving stud"}}, 2)
	}
}

// each adds a row that is counted by the piece and has no spare.
func (b *bill) each(l Line, n int) {
	l.Unit = "each"
	l.Count, l.Asked, l.Quantity = float64(n), float64(n), float64(n)
	b.add(l)
}

// ChargeOf returns the charge that the tag of the mold of a joint asks for.
// missing says what to read where no tag was, or where tags disagree.
func ChargeOf(s *site.Site, j plan.Joint) (charge unit.Q[unit.Kilogram], missing string) {
	for _, t := range s.Supplies.Molds {
		if !same(t.Joint, string(j.Kind)) || !t.Charge.Set {
			continue
		}
		if charge.Set && math.Abs(float64(charge.SI-t.Charge.SI)) > 1e-6 {
			return unit.Q[unit.Kilogram]{}, fmt.Sprintf("the tags of two %s molds differ (%s and %s): say which mold this is", moldWord(j.Kind), grams(charge.SI), grams(t.Charge.SI))
		}
		charge = t.Charge
	}
	if !charge.Set {
		return charge, fmt.Sprintf("read the tag of the %s mold", moldWord(j.Kind))
	}
	return charge, ""
}

func moldWord(k plan.JointKind) string { return string(k) }

func grams(m unit.Kilogram) string { return unit.Trim(float64(m)*1000, 1) + " g" }

// hint returns what common practice has for a joint, to compare a tag with.
func hint(j plan.Joint) string {
	c, err := conductor.ParseBare(j.Wire.Text)
	if err != nil {
		return ""
	}
	k := joint.Tap
	var item joint.Item
	switch j.Kind {
	case plan.Tap:
		other, err := conductor.ParseBare(j.ItemSize)
		if err != nil {
			return ""
		}
		item = joint.ConductorItem(other)
	case plan.ToRod:
		if j.Shape != "through" {
			return ""
		}
		k, item = joint.RodThrough, joint.Item{What: joint.Rod, Size: j.ItemSize}
	default:
		return ""
	}
	h, ok := joint.HintFor(k, c, item)
	if !ok {
		return ""
	}
	return fmt.Sprintf("%d g is %s (%s)", h.Grams, h.Words, h.Cite)
}

// charges pools the welded joints by the charge their molds ask for. Spares
// are taken on each size by itself, then each size goes up to whole packs.
func (b *bill) charges() {
	type pool struct {
		mass  unit.Kilogram
		ids   []string
		kinds []plan.JointKind
		told  []string
	}
	type gap struct {
		why  string
		ids  []string
		kind plan.JointKind
		hint string
	}
	var pools []*pool
	var gaps []*gap
	for _, j := range b.plan.Welded() {
		q, why := ChargeOf(b.site, j)
		if j.Unknown {
			why = "measure before ordering: " + sizeWord(j.Kind)
		}
		if why != "" {
			i := slices.IndexFunc(gaps, func(g *gap) bool { return g.why == why && g.kind == j.Kind })
			if i < 0 {
				gaps = append(gaps, &gap{why: why, kind: j.Kind, hint: hint(j)})
				i = len(gaps) - 1
			}
			gaps[i].ids = append(gaps[i].ids, j.ID)
			continue
		}
		i := slices.IndexFunc(pools, func(p *pool) bool { return math.Abs(float64(p.mass-q.SI)) < 5e-5 })
		if i < 0 {
			pools = append(pools, &pool{mass: q.SI})
			i = len(pools) - 1
		}
		p := pools[i]
		p.ids = append(p.ids, j.ID)
		if !slices.Contains(p.kinds, j.Kind) {
			p.kinds = append(p.kinds, j.Kind)
		}
		if j.ToldOnly {
			p.told = append(p.told, j.ID)
		}
	}
	stable.Sort(pools, func(a, b *pool) int { return cmp.Compare(a.mass, b.mass) })
	for _, p := range pools {
		stable.Sort(p.kinds, func(a, b plan.JointKind) int { return cmp.Compare(kindOrder(a), kindOrder(b)) })
		var words []string
		for _, k := range p.kinds {
			words = append(words, k.Words())
		}
		g := grams(p.mass)
		l := Line{
			Key: "charge/" + g, Group: Charges, Item: g + " charge", Unit: "each", For: p.ids,
			names: []string{g + " charge", g + " charges", g, "charge", "charges"},
		}
		n := len(p.ids)
		spare := 0
		l.Sum = count(n, "joint") + " (" + strings.Join(words, ", ") + ")"
		if s := b.site.Supplies.Spare; s.Set {
			spare = stock.Spares(n, s.SI)
			l.Sum += fmt.Sprintf(" + %d spare = %d", spare, n+spare)
		} else {
			l.Sum += ", no spare said"
		}
		l.Count, l.Spare, l.Asked = float64(n), float64(spare), float64(n+spare)
		l.Quantity = l.Asked
		b.add(l)
	}
	for _, g := range gaps {
		l := Line{Key: "charge/unknown/" + string(g.kind) + "/" + plain(g.why), Group: Charges, Item: "charges for " + g.kind.Words(), Unit: "each", For: g.ids, Count: float64(len(g.ids)), Missing: g.why}
		l.Sum = count(len(g.ids), "joint") + ", " + IDs(g.ids)
		if g.hint != "" {
			l.Sum += "; to compare with, not to order by: " + g.hint
		}
		b.add(l)
	}
}

func kindOrder(k plan.JointKind) int {
	return slices.Index([]plan.JointKind{plan.Tap, plan.Cross, plan.Splice, plan.ToRod, plan.ToPipe, plan.ToFlat, plan.Lug, plan.Clamp}, k)
}

func sizeWord(k plan.JointKind) string {
	switch k {
	case plan.ToPipe:
		return "outside diameter of the pipe"
	case plan.ToRod:
		return "diameter of the rod"
	}
	return "size and make-up of the existing conductor"
}

// Mold is a mold by what it makes: conductor, item, item size, shape and
// position, with the joints that are fired in it.
type Mold struct {
	Key      string // of plan.Joint.MoldKey
	Kind     plan.JointKind
	Words    string // "tap mold, 2 AWG solid tinned copper to 2 AWG ..."
	Numbers  []int  // of the molds of this kind, from 1 in walking order over the whole plan
	Joints   []string
	Charge   unit.Q[unit.Kilogram]
	NoCharge string // what to read where the charge is not known
	Shots    int    // fired so far, by the tag
	Redos    int
	Expect   int // Shots + joints + Redos
	Life     int // zero where nobody said
	Warn     int
	Need     int  // molds of this kind in all
	Second   bool // one more than is at hand before the start
	Unknown  string
	ToldOnly []string // joints on existing things that nobody has seen
	Note     string
}

// MoldsOf lists the molds of a plan in the order of their first joint.
func MoldsOf(s *site.Site, p *plan.Plan) []Mold {
	var out []Mold
	ofKind := map[plan.JointKind]int{}
	for _, j := range p.Welded() {
		key := j.MoldKey()
		i := slices.IndexFunc(out, func(m Mold) bool { return m.Key == key })
		if i < 0 {
			m := Mold{Key: key, Kind: j.Kind, Words: moldWords(j)}
			m.Charge, m.NoCharge = ChargeOf(s, j)
			if j.Unknown {
				m.Unknown = "cannot tell, measure before ordering: " + sizeWord(j.Kind)
				m.Charge, m.NoCharge = unit.Q[unit.Kilogram]{}, "its mold is not known yet"
			}
			out = append(out, m)
			i = len(out) - 1
			ofKind[j.Kind]++
		}
		out[i].Joints = append(out[i].Joints, j.ID)
		if j.ToldOnly {
			out[i].ToldOnly = append(out[i].ToldOnly, j.ID)
		}
	}
	life := s.Supplies.MoldLife
	number := 0
	_, practiceWarn, _ := joint.Life()
	practiceLife, _, _ := joint.Life()
	for i := range out {
		m := &out[i]
		var tags []int
		for _, t := range s.Supplies.Molds {
			if same(t.Joint, string(m.Kind)) && t.Shots > 0 {
				tags = append(tags, t.Shots)
			}
		}
		used := 0
		if len(tags) > 0 && ofKind[m.Kind] > 1 {
			m.Note = fmt.Sprintf("a tag says a %s mold has fired %d, not which of the %d: count its shots by hand, no warning is given here", m.Kind, tags[0], ofKind[m.Kind])
			tags = nil
		}
		for _, t := range tags {
			used += t
		}
		m.Shots = used
		redo := s.Supplies.Redo.Or(0)
		warn := 0
		if life > 0 {
			// The warning comes as far before the end as practice has it.
			warn = life - (practiceLife - practiceWarn)
		}
		ml := stock.MoldLife(used, len(m.Joints), redo, life, warn)
		m.Redos, m.Expect, m.Life, m.Warn = ml.Redos, ml.Expect, life, warn
		hand := len(tags)
		m.Need = max(1, hand)
		if life > 0 {
			m.Need = max(m.Need, int(math.Ceil(float64(m.Expect)/float64(life))))
		}
		m.Second = m.Need > max(1, hand)
		for range m.Need {
			number++
			m.Numbers = append(m.Numbers, number)
		}
	}
	return out
}

func moldWords(j plan.Joint) string {
	switch j.Kind {
	case plan.ToRod:
		s := "cable-to-rod mold, " + j.Wire.Text + " to rod " + j.ItemSize
		if j.Shape == "through" {
			s = "cable-to-rod mold, " + j.Wire.Text + " through to rod " + j.ItemSize
		}
		return s
	case plan.ToPipe:
		if j.Unknown {
			return "cable-to-pipe mold, " + j.Wire.Text + " to vertical pipe of unknown size"
		}
		return "cable-to-pipe mold, " + j.Wire.Text + " to vertical pipe " + j.ItemSize
	case plan.ToFlat:
		return "cable-to-flat mold, " + j.Wire.Text + " to flat steel, " + j.Position
	case plan.Splice:
		return "inline splice mold, " + j.Wire.Text
	}
	if j.Unknown {
		return j.Kind.Words() + " mold, " + j.Wire.Text + " to a conductor nobody has measured"
	}
	if same(j.Wire.Text, j.ItemSize) {
		return j.Kind.Words() + " mold, " + j.Wire.Text + " to the same"
	}
	return j.Kind.Words() + " mold, " + j.Wire.Text + " to " + j.ItemSize
}

// Sentence returns how the number of molds comes about.
func (m Mold) Sentence() string {
	n := len(m.Joints)
	s := count(n, "joint")
	if m.Redos > 0 {
		s += fmt.Sprintf(" + %s", count(m.Redos, "redo"))
	}
	total := n + m.Redos
	switch {
	case m.Life <= 0:
		life, _, c := joint.Life()
		s += fmt.Sprintf("; mold life not said (about %d, %s)", life, c)
	case m.Shots > 0:
		s = fmt.Sprintf("%d fired + %d to come = %d", m.Shots, total, m.Expect)
		if m.Second {
			s += fmt.Sprintf(" > %d: order %s before the start", m.Life, another(m))
		} else {
			s += fmt.Sprintf(" of %d", m.Life)
		}
	case m.Second:
		s += fmt.Sprintf(" = %d > %d: %s", total, m.Life, count(m.Need, "mold"))
	default:
		if m.Redos > 0 {
			s += fmt.Sprintf(" = %d", total)
		}
		s += fmt.Sprintf(" of %d shots", m.Life)
	}
	if m.Life > 0 && !m.Second && m.Expect > m.Warn {
		s += fmt.Sprintf("; look hard at it from shot %d", m.Warn)
	}
	if len(m.ToldOnly) > 0 {
		s += "; " + IDs(m.ToldOnly) + " on a conductor told only: see it and measure it first"
	}
	if m.Note != "" {
		s += "; " + m.Note
	}
	return s
}

func another(m Mold) string {
	if m.Need == 2 {
		return "a second"
	}
	return fmt.Sprintf("%d more", m.Need-1)
}

// molds lists the molds to have on site. One that has fired is at hand and is
// not bought again.
func (b *bill) molds(ms []Mold) {
	for _, m := range ms {
		l := Line{Key: "mold/" + m.Key, Group: Molds, Item: m.Words, Unit: "each", For: m.Joints, names: []string{m.Words, string(m.Kind) + " mold", "mold"}}
		l.Count = float64(m.Need)
		l.Asked, l.Quantity = l.Count, l.Count
		if m.Shots > 0 {
			hand := m.Need
			if m.Second {
				hand = b.atHand(m)
			}
			l.Asked = float64(m.Need - hand)
			l.Quantity = l.Asked
		}
		l.Sum = m.Sentence()
		if m.Shots > 0 && l.Quantity == 0 {
			l.Sum += "; at hand, none to buy"
		}
		l.Missing = m.Unknown
		b.add(l)
	}
}

func (b *bill) atHand(m Mold) int {
	n := 0
	for _, t := range b.site.Supplies.Molds {
		if same(t.Joint, string(m.Kind)) && t.Shots > 0 {
			n++
		}
	}
	return max(1, n)
}

// bolted lists lugs, their bolts and die, clamps and gate jumpers.
func (b *bill) bolted() {
	type lug struct {
		text string
		ids  []string
	}
	var lugs []*lug
	for _, j := range b.plan.Joints {
		if j.Kind != plan.Lug {
			continue
		}
		i := slices.IndexFunc(lugs, func(l *lug) bool { return same(l.text, j.Wire.Text) })
		if i < 0 {
			lugs = append(lugs, &lug{text: j.Wire.Text})
			i = len(lugs) - 1
		}
		lugs[i].ids = append(lugs[i].ids, j.ID)
	}
	for _, l := range lugs {
		n := len(l.ids)
		item := "two-hole lug, " + l.text
		b.each(Line{Key: "lug/" + plain(l.text), Group: Bolted, Item: item, For: l.ids, Sum: count(n, "lug") + " at " + IDs(l.ids), names: []string{item, "two-hole lug", "lug"}}, n)
		b.each(Line{Key: "lug-bolt/" + plain(l.text), Group: Bolted, Item: "bolt, nut and washers for a lug", For: l.ids, Sum: count(n, "lug") + ", two holes each", names: []string{"bolt, nut and washers for a lug", "lug bolt", "bolt"}}, 2*n)
		b.each(Line{Key: "die/" + plain(l.text), Group: Bolted, Item: "die for the lug, " + l.text, For: l.ids, Sum: "the one that the lug is marked for", names: []string{"die for the lug, " + l.text, "die"}}, 1)
	}
	if n := len(b.plan.Jumpers); n > 0 {
		var ids []string
		for _, j := range b.plan.Jumpers {
			ids = append(ids, j.ID)
		}
		b.each(Line{Key: "jumper", Group: Bolted, Item: "gate jumper, flexible", For: ids, Sum: "one for each leaf, long enough for its full swing", names: []string{"gate jumper, flexible", "gate jumper", "jumper"}}, n)
		b.each(Line{Key: "jumper-clamp", Group: Bolted, Item: "clamp for a gate jumper", For: ids, Sum: count(n, "jumper") + ", two clamped ends each", names: []string{"clamp for a gate jumper", "clamp"}}, 2*n)
	}
}

// small lists what stops a crew when it is not in the truck.
func (b *bill) small(ms []Mold) {
	p := b.plan
	welds := p.Welded()
	thing := func(key, item, sum string, n int, ids []string) {
		if n > 0 {
			b.each(Line{Key: "small/" + key, Group: Small, Item: item, Sum: sum, For: ids, names: []string{item, key}}, n)
		}
	}
	if n := len(welds); n > 0 {
		least, _, practice := joint.PerDay()
		days := (n + least - 1) / least
		thing("starter", "igniter or starter", "one to fire with, one for when it fails; powder comes with the charges", 2, nil)
		clamp, frame := 0, 0
		for _, m := range ms {
			switch m.Kind {
			case plan.ToPipe, plan.ToFlat:
				frame++
			default:
				clamp++
			}
		}
		thing("handle clamp", "handle clamp for a mold", count(clamp, "tap, splice or rod mold kind")+", one each so that a hot mold can cool in it", clamp, nil)
		thing("frame", "clamp frame for pipe or flat", count(frame, "pipe or flat mold kind")+", one each", frame, nil)
		thing("mold brush", "brush and scraper for molds", "slag out after every shot; one crew", 1, nil)
		thing("wire brush", "wire brush", "bright metal at "+count(n, "joint")+"; one for copper, one for steel", 2, nil)
		thing("putty", "sealing putty, pack", count(frame, "pipe or flat mold kind")+" to seal against rough steel; one pack", min(1, frame), nil)
		thing("torch", "torch", "to dry molds and conductor; one crew", 1, nil)
		thing("torch gas", "torch gas, cylinder", fmt.Sprintf("%s at %d a day (%s) = %s, a cylinder a day", count(n, "joint"), least, practice, count(days, "day")), days, nil)
		thing("rags", "rags, bundle", count(days, "welding day")+", a bundle a day", days, nil)
		var steel []string
		for _, j := range welds {
			if j.Kind == plan.ToPipe || j.Kind == plan.ToFlat {
				steel = append(steel, j.ID)
			}
		}
		thing("zinc-rich paint", "zinc-rich paint, can", count(len(steel), "joint")+" on steel to paint back", min(1, len(steel)), steel)
	}
	var bolted []string
	for _, j := range p.Joints {
		if j.Kind == plan.Lug || j.Kind == plan.Clamp {
			bolted = append(bolted, j.ID)
		}
	}
	ends := len(bolted) + 2*len(p.Jumpers)
	thing("joint compound", "joint compound, tube", count(ends, "bolted or clamped end"), min(1, ends), bolted)
	var whips, tails, through []string
	for _, w := range p.Whips {
		whips = append(whips, w.ID)
		if w.EndZ > 0 {
			tails = append(tails, w.ID)
		}
	}
	thing("tag", "tag with its number", count(len(whips), "whip")+", one each; hung at once and never changed", len(whips), whips)
	var capped []string
	for _, r := range p.Rods {
		capped = append(capped, r.ID)
	}
	rods := len(capped)
	capped = append(capped, tails...)
	thing("cap", "safety cap", count(rods, "rod")+" + "+count(len(tails), "tail")+" above grade, capped at once", len(capped), capped)
	through = tails
	if len(through) > 0 {
		b.add(Line{
			Key: "small/sleeve", Group: Small, Item: "sleeve, nonmetallic, with end seals", Unit: "each", For: through, names: []string{"sleeve, nonmetallic, with end seals", "sleeve"},
			Sum: "of " + count(len(through), "tail") + " above grade", Missing: "which tails come up through concrete or paving",
		})
	}
	b.raceSmall(thing)
}

// IDs prints ids short: "J1 to J4, J7".
func IDs(ids []string) string {
	type run struct{ from, to string }
	var runs []run
	num := func(id string) (string, int, bool) {
		i := strings.LastIndexFunc(id, func(r rune) bool { return r < '0' || r > '9' }) + 1
		if i >= len(id) || len(id)-i > 9 {
			return id, 0, false
		}
		n := 0
		for _, c := range id[i:] {
			n = n*10 + int(c-'0')
		}
		return id[:i], n, true
	}
	sorted := slices.Clone(ids)
	stable.Sort(sorted, func(a, b string) int {
		pa, na, _ := num(a)
		pb, nb, _ := num(b)
		return cmp.Or(cmp.Compare(pa, pb), cmp.Compare(na, nb))
	})
	for _, id := range sorted {
		p, n, ok := num(id)
		if k := len(runs); k > 0 && ok {
			q, m, ok2 := num(runs[k-1].to)
			if ok2 && q == p && n == m+1 {
				runs[k-1].to = id
				continue
			}
		}
		runs = append(runs, run{id, id})
	}
	var parts []string
	for _, r := range runs {
		_, a, _ := num(r.from)
		_, z, _ := num(r.to)
		switch {
		case r.from == r.to:
			parts = append(parts, r.from)
		case z == a+1:
			parts = append(parts, r.from, r.to)
		default:
			parts = append(parts, r.from+" to "+r.to)
		}
	}
	return strings.Join(parts, ", ")
}

func packsOf(n, per int) int { return stock.Packs(n, per) }
