package route

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"stubup/base/geom"
	"stubup/base/unit"
)

// Terminal is an end of a run.
type Terminal struct {
	Name    string
	At      geom.Point3
	Heading geom.Point3 // that the run leaves or arrives with; zero: any
	Takes   unit.Metre  // straight that what stands there takes

	// Laid is what is already in the ground from the last pull point to At,
	// in order: the run goes on from there with what those pieces have used
	// up. It needs the heading of the laid end. For a start only.
	Laid []Piece
	// CutBack is how much of the laid end may be cut off to make room for a
	// bend.
	CutBack unit.Metre
}

func (t Terminal) name(or string) string {
	if t.Name == "" {
		return or
	}
	return fmt.Sprintf("%q", t.Name)
}

// Ask is what a run is looked for with.
type Ask struct {
	Space    Space
	From, To Terminal
	Bends    []Bend
	Fittings []Fitting
	Limits   Limits
	Drag     Drag
	Forbid   []string // kinds or names of surfaces, bends and fittings that may not be used
}

// Item is a line of the bill.
type Item struct {
	Name   string
	Kind   string
	Count  int        // of bends, fittings and cores
	Length unit.Metre // takeoff, corner to corner, of straights
	Cost   float64
}

// Run is a run that was found.
type Run struct {
	Cost     float64
	Takeoff  unit.Metre // corner to corner
	Built    unit.Metre // tangent to tangent, arcs counted
	Pieces   []Piece    // new pieces, in order; what was laid is not among them
	Sections []Section  // the first one begins with what was laid
	Bill     []Item     // in the order of the run
	Corners  []geom.Point3
}

// Fittings returns the fittings set, in order.
func (r *Run) Fittings() []Piece { return fitted(r.Pieces) }

func (a *Ask) check() error {
	for _, t := range []struct {
		t    *Terminal
		name string
	}{{&a.From, "start"}, {&a.To, "end"}} {
		where := t.name
		if t.t.Name != "" {
			where += fmt.Sprintf(" %q", t.t.Name)
		}
		switch h := t.t.Heading; {
		case !finite3(t.t.At):
			return &Fault{where, "it is not a place", "give three finite coordinates"}
		case h != (geom.Point3{}) && !(h.Norm() > 0.999999 && h.Norm() < 1.000001):
			return &Fault{where, "its heading is not of unit length", "scale it to length 1, or leave it out"}
		case bad(float64(t.t.Takes)) || bad(float64(t.t.CutBack)):
			return &Fault{where, "the straight that it takes is not a length", "give a length of nought or more"}
		}
	}
	if a.From.At.Dist(a.To.At) < joined {
		return &Fault{"start and end", "they are the same place", "move one"}
	}
	if len(a.From.Laid) > 0 && a.From.Heading == (geom.Point3{}) {
		return &Fault{"start", "part of the run is laid and the heading of its end is not given", "give the direction in which the laid end points"}
	}
	if len(a.To.Laid) > 0 {
		return &Fault{"end", "pieces are laid at the far end", "turn the run round, so that it starts from what is laid"}
	}
	for i, p := range a.From.Laid {
		if bad(float64(p.Length)) || bad(float64(p.Angle)) || p.What == Bent && (p.Cable <= 0 || p.Angle == 0) {
			return &Fault{"start", fmt.Sprintf("laid piece %d has no sound length, angle or radius", i+1), "give them as built"}
		}
	}
	for _, b := range a.Bends {
		if err := b.check(); err != nil {
			return err
		}
	}
	for _, f := range a.Fittings {
		if err := f.check(); err != nil {
			return err
		}
	}
	if err := a.Limits.check(); err != nil {
		return err
	}
	return checkDrag(a.Limits, a.Drag)
}

// ready checks what is asked and lays the net.
func (a *Ask) ready() (*net, error) {
	if err := a.check(); err != nil {
		return nil, err
	}
	n, err := a.Space.mesh(a.From.At, a.To.At)
	if err != nil {
		return nil, err
	}
	for _, t := range []struct {
		t    Terminal
		name string
	}{{a.From, "start"}, {a.To, "end"}} {
		i, ok := n.find(t.t.At)
		if !ok || len(n.out[i]) == 0 {
			where := t.name
			if t.t.Name != "" {
				where += fmt.Sprintf(" %q", t.t.Name)
			}
			return nil, &Fault{where, "it stands on no surface or line at " + place3(t.t.At), "move it onto one, or give the surface or line that it stands on"}
		}
	}
	// Every heading has its number before a search begins, so that searches
	// over one net agree.
	for _, t := range []Terminal{a.From, a.To} {
		if t.Heading != (geom.Point3{}) {
			n.heading(t.Heading)
		}
	}
	return n, nil
}

// laid returns the load after what is already in place.
func (a *Ask) laid(b *books) load {
	ps := since(a.From.Laid)
	l := load{back: b.tMax, fwd: b.reel}
	for _, p := range ps {
		in, out := b.way(p.Heading), b.way(p.Out)
		if p.What == Straight {
			l = b.run(l, float64(p.Length), in)
			continue
		}
		l.deg += float64(p.Angle)
		l.length += float64(p.Length)
		if p.Resets.Bends {
			l.deg = 0
		}
		if p.Resets.Length {
			l.length = 0
		}
		switch {
		case p.Resets.Tension:
			l.fwd, l.back = b.reel, b.tMax
		case b.tension && p.Angle > 0:
			l, _ = b.around(l, p.turn(), 0, 0, in, out)
		}
	}
	l.straight = min(float64(a.From.CutBack), b.longest)
	return l
}

// since returns the pieces after the last full pull point.
func since(ps []Piece) []Piece {
	for i := len(ps) - 1; i >= 0; i-- {
		if ps[i].What == Fitted && ps[i].Resets == PullPoint {
			return ps[i+1:]
		}
	}
	return ps
}

// Find returns the run of least cost between two ends, with its bends and pull
// points, under the limits. It is exact over the mesh: ways are kept by mesh
// point and heading, and dropped only where another is no worse in cost and in
// all that the limits count. Each section may be pulled from either end.
//
// Where there is none it returns a *Blocked; a thing asked that makes no sense
// gives a *Fault.
func Find(ctx context.Context, a Ask) (*Run, error) {
	n, err := a.ready()
	if err != nil {
		return nil, err
	}
	return a.find(ctx, n)
}

// relaxed is the share within which Find's relaxed figures are the smallest.
const relaxed = 1e-3

func (a *Ask) find(ctx context.Context, n *net) (*Run, error) {
	r, err := a.solve(ctx, n, a.Limits)
	if r != nil || err != nil {
		return r, err
	}
	if why := begin(a, n, a.Limits).apart(); why != "" {
		return nil, &Blocked{Why: why, Mend: "add a surface, a line or a core between them, or allow one that is forbidden"}
	}
	var radii []float64
	for _, b := range a.Bends {
		radii = append(radii, float64(b.cable()))
	}
	for _, f := range a.Fittings {
		radii = append(radii, float64(f.Radius))
	}
	ways, open, err := relax(a.Limits, radii, relaxed, func(l Limits) ([]Section, bool, error) {
		r, err := a.hunt(ctx, n, l, true, enough)
		if r == nil {
			return nil, false, err
		}
		return r.Sections, true, nil
	})
	if err != nil {
		return nil, err
	}
	names := fmt.Sprintf("from %s to %s", a.From.name("the start"), a.To.name("the end"))
	if len(ways) == 0 && len(open) > 0 {
		return nil, &Blocked{Why: "no run " + names + " keeps the limits, and what would have to give was not searched to the end", Mend: "loosen a limit, or give a coarser pitch", Unsettled: open}
	}
	if len(ways) == 0 {
		return nil, &Blocked{Why: "no run " + names + ": surfaces join them, but the straights are too short for the bends and fittings offered", Mend: "offer a bend of smaller radius, a fitting that makes the turn, or more room"}
	}
	return nil, &Blocked{Why: "no run " + names + " keeps the limits", Ways: ways, Unsettled: open}
}

// enough is the count of labels after which a search for what would have to
// give is broken off, and said to be.
const enough = 250_000

// patience is the count of labels after which a search for the cheapest run
// first makes sure that there is one at all, which is the quicker question.
const patience = 150_000

// solve returns the cheapest run, nil where none holds.
func (a *Ask) solve(ctx context.Context, n *net, lim Limits) (*Run, error) {
	r, err := a.hunt(ctx, n, lim, false, patience)
	if !errors.Is(err, errMany) {
		return r, err
	}
	if r, err = a.hunt(ctx, n, lim, true, 0); r == nil || err != nil {
		return nil, err
	}
	return a.hunt(ctx, n, lim, false, 0)
}

func (a *Ask) hunt(ctx context.Context, n *net, lim Limits, any bool, most int) (*Run, error) {
	h := begin(a, n, lim)
	h.any, h.most = any, most
	if err := h.backward(ctx); err != nil {
		return nil, err
	}
	labels, last, err := h.search(ctx)
	if err != nil || last < 0 {
		return nil, err
	}
	return h.run(labels, last), nil
}

// run writes out the run that ends in a label.
func (h *hunt) run(labels []label, last int32) *Run {
	n, k := h.n, int32(len(h.n.headings))
	var chain []label
	for i := last; i >= 0; i = labels[i].prev {
		chain = append(chain, labels[i])
	}
	slices.Reverse(chain)
	r := &Run{Cost: chain[len(chain)-1].cost}
	bill := func(kind, name string, count int, length unit.Metre, cost float64) {
		for i := range r.Bill {
			if r.Bill[i].Name == name && r.Bill[i].Kind == kind {
				r.Bill[i].Count += count
				r.Bill[i].Length += length
				r.Bill[i].Cost += cost
				return
			}
		}
		r.Bill = append(r.Bill, Item{name, kind, count, length, cost})
	}
	var ps []Piece
	node, came := h.from, h.ahead
	r.Corners = []geom.Point3{n.at[node]}
	for _, l := range chain {
		if l.prev < 0 && h.ahead >= 0 {
			continue // stands at the start
		}
		e := &n.out[node][l.edge]
		f := &n.faces[e.face]
		at, dir := n.at[node], n.headings[e.heading]
		if l.pick >= 0 {
			t := came*k + e.heading
			c := &h.turns[t][l.pick]
			p := Piece{On: f.name, From: at, To: at, Angle: h.angles[t], Heading: n.headings[came], Out: dir, Cost: c.cost}
			if c.fit != nil {
				p.What, p.Name, p.Kind, p.Radius, p.Cable, p.Resets, p.takes = Fitted, c.fit.Name, c.fit.Kind, c.fit.Radius, c.fit.Radius, c.fit.Resets, float64(c.fit.Takes)
			} else {
				p.What, p.Name, p.Kind, p.Radius, p.Cable = Bent, c.b.Name, c.b.Kind, c.b.Radius, c.b.cable()
				p.Length, p.takes = unit.Metre(c.bend.arc), c.bend.tangent
				p.From, p.To = at.Sub(p.Heading.Scale(p.takes)), at.Add(dir.Scale(p.takes))
			}
			ps = append(ps, p)
			bill(p.Kind, p.Name, 1, 0, p.Cost)
		}
		if came >= 0 && came != e.heading {
			r.Corners = append(r.Corners, at)
		}
		ps = append(ps, Piece{What: Straight, Name: f.name, Kind: f.kind, On: f.name, From: at, To: n.at[e.to], Length: unit.Metre(e.length), Heading: dir, Out: dir})
		count := 0
		if f.fixed > 0 {
			count = 1
		}
		bill(f.kind, f.name, count, unit.Metre(e.length), e.cost)
		r.Takeoff += unit.Metre(e.length)
		node, came = e.to, e.heading
	}
	r.Corners = append(r.Corners, n.at[node])
	takes := float64(h.ask.From.Takes)
	if len(h.ask.From.Laid) > 0 {
		takes = 0
	}
	// A bend at the laid end reaches back into what is laid.
	all := append(slices.Clone(since(h.ask.From.Laid)), ps...)
	laid := len(all) - len(ps)
	if laid == 0 {
		r.Pieces = built(ps, takes, float64(h.ask.To.Takes))
		r.Sections = sections(h.ask.From.Name, h.ask.To.Name, r.Pieces, h.books.lim, h.ask.Drag)
	} else {
		for i := range laid {
			all[i].takes = 0 // as built already
		}
		r.Pieces = built(ps, 0, float64(h.ask.To.Takes))
		from := h.ask.From.Name
		if i := len(h.ask.From.Laid) - laid - 1; i >= 0 {
			from = h.ask.From.Laid[i].Name
		}
		r.Sections = sections(from, h.ask.To.Name, built(all, 0, float64(h.ask.To.Takes)), h.books.lim, h.ask.Drag)
	}
	for _, p := range r.Pieces {
		r.Built += p.Length
	}
	return r
}

// Cut returns the pieces of a run up to a length along it as built, in order:
// what is laid when the crew has come so far. The last one is cut where the
// length ends, and must be a straight.
func Cut(pieces []Piece, length unit.Metre) (laid []Piece, at, heading geom.Point3, err error) {
	if bad(float64(length)) || length == 0 {
		return nil, at, heading, &Fault{"laid length", "nothing is laid", "give the length laid from the start, or look for the run afresh"}
	}
	left := length
	for _, p := range pieces {
		if p.Length < left-slack {
			laid, left = append(laid, p), left-p.Length
			continue
		}
		if p.What == Bent && left < p.Length-slack {
			return nil, at, heading, &Fault{"laid length", fmt.Sprintf("%s ends inside the bend %q", unit.US.Run(length), p.Name), "measure to the end of the last whole piece"}
		}
		if p.What == Straight {
			p.To = p.From.Add(p.Heading.Scale(float64(left)))
			p.Length = left
		}
		return append(laid, p), p.To, p.Out, nil
	}
	return nil, at, heading, &Fault{"laid length", fmt.Sprintf("the run is shorter than %s", unit.US.Run(length)), "give a length along the run"}
}

// Alternative is the best run without something.
type Alternative struct {
	Without []string // what was forbidden besides
	Run     *Run     // nil where there is none
	Blocked *Blocked // why
}

// Alternatives returns the best run for each set of things forbidden, one
// search each over one mesh. An empty set is the run as asked. Runs that cannot
// be had say what stands against them only where no surface joins the ends;
// Find with the same Forbid says what would have to give.
func Alternatives(ctx context.Context, a Ask, without ...[]string) ([]Alternative, error) {
	n, err := a.ready()
	if err != nil {
		return nil, err
	}
	var out []Alternative
	for _, w := range without {
		b := a
		b.Forbid = append(slices.Clone(a.Forbid), w...)
		alt := Alternative{Without: w}
		r, err := b.solve(ctx, n, b.Limits)
		if err != nil {
			return nil, err
		}
		if r == nil {
			alt.Blocked = &Blocked{Why: "no run keeps the limits without it", Mend: "allow it, or loosen a limit"}
			if why := begin(&b, n, b.Limits).apart(); why != "" {
				alt.Blocked = &Blocked{Why: why, Mend: "allow what is forbidden, or add a surface"}
			}
		}
		alt.Run = r
		out = append(out, alt)
	}
	return out, nil
}
