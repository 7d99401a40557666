package order

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"stubup/answer"
	"stubup/base/cite"
	"stubup/base/unit"
	"stubup/plan"
	"stubup/site"
	"stubup/trade/raceway"
	"stubup/trade/stock"
)

// Cut is the cut list of one kind and size of raceway.
type Cut struct {
	Kind    raceway.Kind
	Trade   unit.Trade
	Sticks  stock.Sticks
	Said    bool // the stock length is the document's own
	Problem []string
}

// tally counts things that are bought by the piece, by what they are, and
// keeps the order in which they were met.
type tally struct {
	keys  []string
	count map[string]int
	from  map[string][]string // runs
	each  map[string][]int    // how many of them, beside from
	item  map[string]string
	note  map[string]string
}

func newTally() *tally {
	return &tally{count: map[string]int{}, from: map[string][]string{}, each: map[string][]int{}, item: map[string]string{}, note: map[string]string{}}
}

func (t *tally) add(key, item, from string, n int) {
	if n <= 0 {
		return
	}
	if _, ok := t.item[key]; !ok {
		t.keys = append(t.keys, key)
		t.item[key] = item
	}
	t.count[key] += n
	t.from[key] = append(t.from[key], from)
	t.each[key] = append(t.each[key], n)
}

// say adds words to the sum of a row, each once.
func (t *tally) say(key, words string) {
	switch {
	case t.note[key] == "":
		t.note[key] = words
	case !strings.Contains(t.note[key], words):
		t.note[key] += "; " + words
	}
}

// rows turns a tally into bill rows. A run that is counted more than once is
// named once with the sum.
func (b *bill) rows(t *tally, group string, names ...string) {
	for _, k := range t.keys {
		sum := t.counts(k)
		if t.note[k] != "" {
			sum += "; " + t.note[k]
		}
		b.each(Line{Key: k, Group: group, Item: t.item[k], Sum: sum, For: uniq(t.from[k]), names: append([]string{t.item[k]}, names...)}, t.count[k])
	}
}

// counts says how many are on each run.
func (t *tally) counts(key string) string {
	var runs []string
	sum := map[string]int{}
	for i, r := range t.from[key] {
		if _, ok := sum[r]; !ok {
			runs = append(runs, r)
		}
		sum[r] += t.each[key][i]
	}
	parts := make([]string, len(runs))
	for i, r := range runs {
		parts[i] = fmt.Sprintf("%d on %s", sum[r], r)
	}
	return strings.Join(parts, " + ")
}

// unsaid reports whether a piece is above grade and the document does not say
// what carries it. Parts of an offset or a saddle go with what is beside them.
func unsaid(q plan.Piece) bool {
	return q.Where == "" && q.Part == "" && !q.Arc && min(q.A.Z, q.B.Z) > 0
}

func supportName(where string) string {
	switch where {
	case "roof":
		return "roof block with strap"
	case "strut":
		return "strut clamp"
	case "air":
		return "hanger"
	}
	return "strap"
}

// raceway lists sticks, couplings, bends, ends, supports and expansion
// fittings, and returns the cut lists.
func (b *bill) raceway() []Cut {
	sys := b.site.Units
	type kind struct {
		cut    Cut
		stick  unit.Metre
		pieces []stock.Piece
		total  unit.Metre
		pipes  int
		runs   []string
		from   []string
	}
	var kinds []*kind
	couplings, bends, ends, supports, fittings, jumpers, seals := newTally(), newTally(), newTally(), newTally(), newTally(), newTally(), newTally()
	for ri := range b.plan.Runs {
		r := b.plan.Runs[ri]
		b.undrawn = nil
		stick, said := StickOf(r)
		i := slices.IndexFunc(kinds, func(k *kind) bool {
			return k.cut.Kind == r.Kind && k.cut.Trade == r.Trade && math.Abs(float64(k.stick-stick)) < 1e-6
		})
		if i < 0 {
			kinds = append(kinds, &kind{cut: Cut{Kind: r.Kind, Trade: r.Trade, Said: said}, stick: stick})
			i = len(kinds) - 1
		}
		k := kinds[i]
		kt := fmt.Sprintf("%s %s", r.Kind, r.Trade)
		runTotal := unit.Metre(0)
		for _, c := range chains(r, sys) {
			for _, s := range c.stretches {
				for n, bit := range s.Sticks {
					name := s.Name
					if len(s.Sticks) > 1 {
						name = fmt.Sprintf("%s, piece %d", s.Name, n+1)
					}
					k.pieces = append(k.pieces, stock.Piece{Name: name, Length: bit.Length()})
					k.pipes++
				}
				runTotal += s.Length
				if s.Problem != "" {
					k.cut.Problem = append(k.cut.Problem, s.Name+": "+s.Problem)
				}
			}
			couplings.add("coupling/"+kt, "coupling, "+kt, r.ID, c.couplings)
			fittings.add("expansion/"+kt, "expansion fitting, "+kt, r.ID, c.fittings)
			if r.Kind.Metal() {
				jumpers.add("expansion-jumper/"+kt, "bonding jumper for a metal expansion fitting, "+kt, r.ID, c.fittings)
			}
			for _, q := range c.bends {
				name := bendName(r, q, sys)
				bends.add("bend/"+name, name, r.ID, 1)
				if _, said := FieldMade(r.Kind, q); !said {
					bends.note["bend/"+name] = "factory or field is not said: counted as factory"
				}
			}
		}
		k.total += runTotal
		if runTotal > 0 {
			k.runs = append(k.runs, r.ID)
			k.from = append(k.from, b.length(runTotal)+" on "+r.ID)
		}
		b.ends(r, kt, ends)
		b.supports(&b.plan.Runs[ri], kt, supports)
		b.asked(&b.plan.Runs[ri], kt, fittings)
		for _, e := range r.Entries {
			size := "size not said"
			if e.Core.Set {
				size = e.Core.Text
			}
			if e.Rated {
				seals.add("firestop/"+size, "listed firestop for a core, "+size, r.ID, 1)
			} else {
				seals.add("core-seal/"+size, "seal for a core, "+size, r.ID, 1)
			}
		}
		for _, s := range b.undrawn {
			fittings.say("expansion/"+kt, s)
		}
		for _, x := range r.Expansions {
			if x.Travel.Set {
				fittings.say("expansion/"+kt, "travel "+x.Travel.Text)
			} else if b.site.Supplies.ExpansionTravel.Set {
				fittings.say("expansion/"+kt, "travel "+b.site.Supplies.ExpansionTravel.Text)
			} else {
				fittings.say("expansion/"+kt, "travel not said: ask the supplier")
			}
		}
	}
	var cuts []Cut
	for _, k := range kinds {
		kt := fmt.Sprintf("%s %s", k.cut.Kind, k.cut.Trade)
		if k.total <= 0 {
			continue
		}
		l := Line{Group: Raceway, Item: kt, For: k.runs, names: []string{kt, string(k.cut.Kind)}}
		sum := strings.Join(k.from, " + ")
		if len(k.from) > 1 {
			sum += " = " + b.length(k.total)
		}
		if k.cut.Trade == 0 {
			l.Key, l.Unit, l.Sum, l.Missing = "pipe/"+kt, "stick", sum, "the trade size of "+strings.Join(k.runs, ", ")
			b.add(l)
			continue
		}
		if k.cut.Kind.Flexible() {
			step, name := b.step()
			l.Key, l.Unit = "pipe/"+kt, name
			l.Count = tidy(float64(k.total / step))
			l.Asked = float64(ceil(l.Count))
			l.Quantity = l.Asked
			l.Sum = sum + ", in one length between pull points: ask for the coil"
			b.add(l)
			continue
		}
		cl, err := stock.CutList(k.pieces, k.stick, practiceLength("kerf"))
		l.Key, l.Unit, l.stick = "stick/"+kt+"/"+sys.Length(k.stick), "stick", k.stick
		if err != nil {
			l.Sum, l.Missing = sum, err.Error()
			b.add(l)
			continue
		}
		k.cut.Sticks = cl
		l.Count = tidy(float64(cl.Count))
		l.Asked, l.Quantity = l.Count, l.Count
		l.Sum = fmt.Sprintf("%s in %s; sticks of %s", sum, count(k.pipes, "length"), sys.Length(k.stick))
		if !k.cut.Said {
			l.Sum += " (usual, not said)"
		}
		if cl.Proven {
			l.Sum += ", fewer cannot do"
		} else {
			l.Sum += fmt.Sprintf(", %d at the very least", cl.Bound)
		}
		b.add(l)
		cuts = append(cuts, k.cut)
	}
	for _, k := range couplings.keys {
		if !strings.Contains(k, string(raceway.EMT)) {
			couplings.note[k] = "fewer where sticks carry a bell or a coupling"
		}
	}
	b.rows(couplings, Raceway, "coupling")
	b.rows(bends, Raceway)
	b.rows(ends, Raceway)
	b.rows(supports, Raceway)
	b.rows(fittings, Raceway, "expansion fitting")
	b.rows(jumpers, Raceway)
	b.rows(seals, Raceway)
	return cuts
}

// ends counts what closes a raceway at boxes, handholes and its two ends.
func (b *bill) ends(r plan.Run, kt string, t *tally) {
	for i, q := range r.Pulls {
		sides := 2
		if i == 0 || i == len(r.Pulls)-1 {
			sides = 1
		}
		switch {
		case r.Kind == raceway.EMT:
			t.add("connector/"+kt, "connector with bushing, "+kt, r.ID, sides)
		case r.Kind.Flexible():
			t.add("connector/"+kt, "connector, "+kt, r.ID, sides)
		case q.Kind == plan.PullBody:
			// Bodies thread on or are cemented: nothing between.
		case r.Kind.Metal():
			t.add("bushing/"+kt, "bushing with two locknuts, "+kt, r.ID, sides)
		case q.Kind == plan.PullHandhole:
			t.add("end-bell/"+kt, "end bell, "+kt, r.ID, sides)
		default:
			t.add("box-adapter/"+kt, "box adapter with locknut and bushing, "+kt, r.ID, sides)
		}
	}
}

// supports counts straps, clamps and blocks of the stretches in the open. A
// pull point ends a stretch: the first support is near it on both sides.
func (b *bill) supports(r *plan.Run, kt string, t *tally) {
	sys := b.site.Units
	for _, a := range b.answer.Supports(r) {
		if !a.OK() {
			b.add(Line{
				Key: "support/unknown/" + r.ID + "/" + sys.Length(a.From), Group: Raceway, Item: "supports, " + kt, Unit: "each", For: []string{r.ID},
				Sum: b.length(a.Length) + " in the open on " + r.ID, Missing: a.Missing,
			})
			continue
		}
		where := ""
		for _, q := range r.Pieces {
			if q.Station <= a.From+1e-6 && a.From < q.Station+q.Length-1e-6 {
				where = q.Where
			}
		}
		name := supportName(where) + ", " + kt
		t.add("support/"+name, name, r.ID, int(math.Round(a.Value.SI)))
		t.note["support/"+name] = fmt.Sprintf("first within %s, then %s apart at most, %s", b.length(a.Support.First), b.length(a.Support.Spacing), a.Support.Cite.Full())
	}
	var open unit.Metre
	for _, q := range r.Pieces {
		if unsaid(q) {
			open += q.Length
		}
	}
	if open > 0 {
		b.add(Line{
			Key: "support/unsaid/" + r.ID, Group: Raceway, Item: "supports, " + kt, Unit: "each", For: []string{r.ID},
			Sum: b.length(open) + " above grade on " + r.ID, Missing: "what carries it: wall, roof, strut, air or indoor",
		})
	}
}

// asked adds the expansion fittings that the movement of a straight asks for
// and that the document does not draw yet.
func (b *bill) asked(r *plan.Run, kt string, t *tally) {
	for _, st := range answer.OpenStraights(r) {
		e := b.answer.Expansion(r, st)
		if !e.OK() || !e.Needed || e.Fitted {
			continue
		}
		at := b.length(st.Length) + " on " + r.ID + " moves " + e.Value.Text
		if e.Count == 0 {
			b.add(Line{Key: "expansion/unknown/" + r.ID + "/" + b.site.Units.Length(st.From), Group: Raceway, Item: "expansion fitting, " + kt, Unit: "each", For: []string{r.ID}, Sum: at, Missing: "the travel of the fitting that can be had"})
			continue
		}
		t.add("expansion/"+kt, "expansion fitting, "+kt, r.ID, e.Count)
		b.undrawn = append(b.undrawn, fmt.Sprintf("%s: %d not drawn yet", at, e.Count))
	}
}

// pullPoints lists handholes, boxes and conduit bodies.
func (b *bill) pullPoints() {
	type thing struct {
		item, missing string
		ids           []string
	}
	var things []*thing
	for _, r := range b.plan.Runs {
		for _, q := range r.Pulls {
			if q.Key == "" || b.existing(q.Object) {
				continue
			}
			item, missing := string(q.Kind), ""
			switch q.Kind {
			case plan.PullBody:
				item = fmt.Sprintf("conduit body %s, %s %s", q.Letter, r.Kind, r.Trade)
				if q.Letter == "" {
					item, missing = fmt.Sprintf("conduit body, %s %s", r.Kind, r.Trade), "which shape: LB, LL, LR, T or C"
				}
			default:
				var dims []string
				for _, d := range q.Size {
					if d.Set {
						dims = append(dims, d.Text)
					}
				}
				if len(dims) > 0 {
					item += ", " + strings.Join(dims, " x ")
				} else {
					missing = "its size"
				}
				if q.Kind == plan.PullHandhole {
					item += ", with cover"
				}
			}
			i := slices.IndexFunc(things, func(t *thing) bool { return t.item == item && t.missing == missing })
			if i < 0 {
				things = append(things, &thing{item: item, missing: missing})
				i = len(things) - 1
			}
			things[i].ids = append(things[i].ids, q.ID)
		}
	}
	for _, t := range things {
		kind, _, _ := strings.Cut(t.item, ",")
		b.each(Line{Key: "pull/" + t.item, Group: PullPoint, Item: t.item, Sum: IDs(t.ids), For: t.ids, Missing: t.missing, names: []string{t.item, kind}}, len(t.ids))
	}
}

func (b *bill) existing(id string) bool {
	for _, o := range b.site.Objects {
		if o.ID == id {
			return o.Existing != site.New
		}
	}
	return false
}

// cable lists what the runs carry.
func (b *bill) cable() {
	type wire struct {
		name   string
		length unit.Metre
		from   []string
		runs   []string
	}
	var wires []*wire
	for _, r := range b.plan.Runs {
		for _, c := range r.Carries {
			name := c.Name
			if name == "" {
				name = strings.TrimSpace(c.Size.String() + " " + c.Insulation)
				if c.Size == 0 {
					name = c.Text
				}
			}
			i := slices.IndexFunc(wires, func(w *wire) bool { return same(w.name, name) })
			if i < 0 {
				wires = append(wires, &wire{name: name})
				i = len(wires) - 1
			}
			n := max(1, c.Count)
			wires[i].length += r.Length * unit.Metre(n)
			wires[i].from = append(wires[i].from, fmt.Sprintf("%d x %s on %s", n, b.length(r.Length), r.ID))
			if !slices.Contains(wires[i].runs, r.ID) {
				wires[i].runs = append(wires[i].runs, r.ID)
			}
		}
	}
	step, name := b.step()
	for _, w := range wires {
		l := Line{Key: "cable/" + plain(w.name), Group: Cable, Item: w.name, Unit: name, For: w.runs, names: []string{w.name}}
		l.Count = tidy(float64(w.length / step))
		l.Asked = float64(ceil(l.Count))
		l.Quantity = l.Asked
		l.Sum = strings.Join(w.from, " + ") + "; add tails and slack"
		b.add(l)
	}
}

// raceSmall lists the small things of the runs.
func (b *bill) raceSmall(thing func(key, item, sum string, n int, ids []string)) {
	var plugs, seals int
	var line, tape, wire unit.Metre
	var runs, dug, plastic, cemented []string
	tail := practiceLength("line.tail")
	for _, r := range b.plan.Runs {
		if len(r.Pieces) == 0 {
			continue
		}
		runs = append(runs, r.ID)
		plugs += 2 * max(1, len(r.Sections))
		seals += 2
		for _, s := range r.Sections {
			line += s.Length + 2*tail
		}
		if r.Trench > 0 {
			dug = append(dug, r.ID)
			tape += r.Trench
			if !r.Kind.Metal() {
				wire += r.Trench
				plastic = append(plastic, r.ID)
			}
		}
		if m, ok := raceway.MaterialOf(r.Kind, false); ok && m == raceway.PVC {
			cemented = append(cemented, r.ID)
		}
	}
	if len(runs) == 0 {
		return
	}
	thing("plug", "plug for an open end", "two ends of every section until it is pulled", plugs, runs)
	thing("duct seal", "seal for the end of a run", count(len(runs), "run")+", two ends each", seals, runs)
	b.long("pull line", "pull line", fmt.Sprintf("every section and %s at each of its ends (%s)", b.length(tail), cite.Practice), line, runs)
	b.long("warning tape", "warning tape", "the trench of each run by itself; runs in one trench share a tape", tape, dug)
	b.long("locate wire", "locate wire", "over nonmetallic runs in the trench, each by itself", wire, plastic)
	thing("cement", "primer and cement, can of each", count(len(cemented), "run")+" of PVC; by the temperature of the day", min(1, len(cemented)), cemented)
}

// long adds a row that is bought by length.
func (b *bill) long(key, item, sum string, m unit.Metre, ids []string) {
	if m <= 0 {
		return
	}
	step, name := b.step()
	l := Line{Key: "small/" + key, Group: Small, Item: item, Unit: name, For: ids, names: []string{item}}
	l.Count = tidy(float64(m / step))
	l.Asked = float64(ceil(l.Count))
	l.Quantity = l.Asked
	l.Sum = sum + ": " + b.length(m)
	b.add(l)
}

// uniq drops what is said twice and keeps the order.
func uniq(ids []string) []string {
	var out []string
	for _, id := range ids {
		if !slices.Contains(out, id) {
			out = append(out, id)
		}
	}
	return out
}
