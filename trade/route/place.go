package route

import (
	"context"
	"fmt"

	"stubup/base/geom"
	"stubup/base/unit"
)

// Placing is a fixed path with its bends and pull points chosen.
type Placing struct {
	Cost     float64 // of bends and fittings; a fixed path has its straights
	Pieces   []Piece
	Sections []Section
}

// Fittings returns the fittings set, in order.
func (p *Placing) Fittings() []Piece { return fitted(p.Pieces) }

func fitted(pieces []Piece) []Piece {
	var out []Piece
	for _, q := range pieces {
		if q.What == Fitted {
			out = append(out, q)
		}
	}
	return out
}

// mark is one way of coming as far as a site.
type mark struct {
	load
	cost float64
	prev *mark
	pick int // 0 nothing, then the bends, then the fittings of the site
}

// Place chooses the bends and pull points of a fixed path at the least cost
// under the limits. It is exact over what the path offers: from site to site it
// keeps every way that no other way beats in cost and in all that the limits
// count, and each section may be pulled from either end.
//
// A path that cannot be kept within the limits gives a *Blocked, which says
// what would have to give.
func Place(ctx context.Context, p Path, lim Limits, d Drag) (*Placing, error) {
	if err := p.check(); err != nil {
		return nil, err
	}
	if err := lim.check(); err != nil {
		return nil, err
	}
	if err := checkDrag(lim, d); err != nil {
		return nil, err
	}
	got, _, err := place(ctx, p, lim, d)
	if err != nil || got != nil {
		return got, err
	}
	var radii []float64
	for _, l := range p.Legs {
		for _, b := range l.Bends {
			radii = append(radii, float64(b.cable()))
		}
		for _, f := range l.Fittings {
			radii = append(radii, float64(f.Radius))
		}
		for _, s := range l.Spots {
			for _, f := range s.Fittings {
				radii = append(radii, float64(f.Radius))
			}
		}
	}
	ways, open, err := relax(lim, radii, 1e-6, func(l Limits) ([]Section, bool, error) {
		got, _, err := place(ctx, p, l, d)
		if got == nil {
			return nil, false, err
		}
		return got.Sections, true, nil
	})
	if err != nil {
		return nil, err
	}
	if len(ways) > 0 {
		return nil, &Blocked{Why: "no choice of bends and pull points keeps the limits", Ways: ways, Unsettled: open}
	}
	// Even without limits: the straights are too short.
	_, at, err := place(ctx, p, Limits{}, Drag{})
	if err != nil {
		return nil, err
	}
	return nil, &Blocked{Why: stuck(p.sites()[at]), Mend: "lengthen the straights beside it, or offer a bend or a fitting that takes less"}
}

func stuck(s site) string {
	if s.end {
		return "end of the path: the last straight is too short for what stands at its two ends"
	}
	if len(s.bends)+len(s.fittings) == 0 {
		return fmt.Sprintf("%s: it turns %v degrees and nothing is offered that makes the turn", s.where, float64(s.angle))
	}
	return fmt.Sprintf("%s: nothing that is offered fits the straight of %s before it", s.where, unit.US.Length(unit.Metre(s.run)))
}

func checkDrag(lim Limits, d Drag) error {
	if lim.tension() && d.zero() {
		return &Fault{"limits", "tension or sidewall pressure is limited and nothing says how tension grows", "give a drag: the cables' weight and friction"}
	}
	return nil
}

// place returns nil where nothing holds, with the site that no way passes.
func place(ctx context.Context, p Path, lim Limits, d Drag) (*Placing, int, error) {
	sites := p.sites()
	b := open(lim, d)
	b.longest = max(float64(p.Takes), float64(p.TakesTo))
	for _, s := range sites {
		for _, o := range s.bends {
			b.longest = max(b.longest, tangent(o.Radius, s.angle))
		}
		for _, f := range s.fittings {
			b.longest = max(b.longest, float64(f.Takes))
		}
	}
	ways := []*mark{{load: b.fed(float64(p.Takes), b.way(sites[0].in))}}
	for i, s := range sites {
		if err := ctx.Err(); err != nil {
			return nil, i, err
		}
		in, out := b.way(s.in), b.way(s.out)
		var next []*mark
		keep := func(prev *mark, l load, cost float64, pick int) {
			for _, o := range next {
				if o.cost <= cost+sameLoad && b.asGood(&o.load, &l) {
					return
				}
			}
			m := &mark{l, cost, prev, pick}
			kept := next[:0]
			for _, o := range next {
				if !(m.cost <= o.cost && b.asGood(&m.load, &o.load)) {
					kept = append(kept, o)
				}
			}
			next = append(kept, m)
		}
		for _, m := range ways {
			l := b.run(m.load, s.run, in)
			if s.end {
				if b.closes(l, float64(p.TakesTo), in) {
					keep(m, l, m.cost, 0)
				}
				continue
			}
			if b.lost(l, in) {
				continue
			}
			if s.angle == 0 {
				keep(m, l, m.cost, 0)
			}
			for k := range s.bends {
				o := &s.bends[k]
				if s.angle == 0 || !lim.takesBend(*o) || !o.makes(s.angle) {
					continue
				}
				if n, ok := b.bend(l, bendAt(o, s.angle, s.in, s.out), in, out); ok {
					keep(m, n, m.cost+o.Cost+o.PerDegree*float64(s.angle), 1+k)
				}
			}
			for k := range s.fittings {
				f := &s.fittings[k]
				if !lim.takesFitting(*f) || !f.admits(s.angle) {
					continue
				}
				if n, ok := b.fit(l, f, s.angle, in, out); ok {
					keep(m, n, m.cost+f.Cost, 1+len(s.bends)+k)
				}
			}
		}
		if len(next) == 0 {
			return nil, i, nil
		}
		ways = next
	}
	best := ways[0]
	for _, m := range ways {
		if m.cost < best.cost-sameLoad {
			best = m
		}
	}
	return p.placing(sites, best, lim, d), len(sites), nil
}

func bendAt(b *Bend, angle unit.Degree, in, out geom.Point3) *bendOf {
	return &bendOf{turn: Turn{angle, b.cable(), in, out}, tangent: tangent(b.Radius, angle), arc: arc(b.Radius, angle)}
}

// placing writes out the pieces of the way that ends in m.
func (p Path) placing(sites []site, m *mark, lim Limits, d Drag) *Placing {
	picks := make([]int, len(sites))
	out := &Placing{Cost: m.cost}
	for i := len(sites) - 1; i >= 0; i-- {
		picks[i] = m.pick
		m = m.prev
	}
	var ps []Piece
	for i, s := range sites {
		ps = append(ps, Piece{What: Straight, Length: unit.Metre(s.run), Heading: s.in, Out: s.in})
		ps = append(ps, s.piece(picks[i])...)
	}
	out.Pieces = built(ps, float64(p.Takes), float64(p.TakesTo))
	out.Sections = sections(p.From, p.To, out.Pieces, lim, d)
	return out
}

// piece is what was picked at a site, if anything.
func (s site) piece(pick int) []Piece {
	switch {
	case pick == 0:
		return nil
	case pick <= len(s.bends):
		b := s.bends[pick-1]
		return []Piece{{What: Bent, Name: b.Name, Kind: b.Kind, Where: s.where, Length: unit.Metre(arc(b.Radius, s.angle)), Angle: s.angle, Radius: b.Radius, Cable: b.cable(), Heading: s.in, Out: s.out, Cost: b.Cost + b.PerDegree*float64(s.angle), takes: tangent(b.Radius, s.angle)}}
	}
	f := s.fittings[pick-1-len(s.bends)]
	return []Piece{{What: Fitted, Name: f.Name, Kind: f.Kind, Where: s.where, Angle: s.angle, Radius: f.Radius, Cable: f.Radius, Heading: s.in, Out: s.out, Cost: f.Cost, Resets: f.Resets, takes: float64(f.Takes)}}
}
