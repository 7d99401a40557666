package ground

import (
	"context"
	"fmt"
	"slices"
)

// WithWires returns the solution after a change of one electrode: the wires at
// the places removed (from 0, as they were given) are left out, and the added
// ones follow the rest. It is that of Solve for the changed metal, with the
// same mesh, but only the rows of elements that the change touches are
// computed: the others keep their part of the factor. The receiver is not
// changed.
func (s *Solution) WithWires(ctx context.Context, electrode int, remove []int, add []Wire) (*Solution, error) {
	if electrode < 0 || electrode >= len(s.given) {
		return nil, whole(BadOption, fmt.Sprintf("there is no electrode %d", electrode+1), "count from 0, in the order given")
	}
	es := keepOf(s.given)
	e := &es[electrode]
	for _, w := range remove {
		if w < 0 || w >= len(e.Wires) {
			return nil, &Error{BadOption, e.ID, -1, fmt.Sprintf("there is no wire %d to remove", w+1), "count from 0, in the order given"}
		}
	}
	var kept []Wire
	for i, w := range e.Wires {
		if !slices.Contains(remove, i) {
			kept = append(kept, w)
		}
	}
	e.Wires = append(kept, keepOf([]Electrode{{Wires: add}})[0].Wires...)
	return s.withElectrodes(ctx, es)
}

// spot is what makes an element the same as one of another mesh.
type spot struct {
	mid, t    vec
	l, r      float64
	series    float64
	electrode int
}

func (e *element) spot() spot { return spot{e.mid, e.t, e.l, e.r, e.series, e.electrode} }

func (s *Solution) withElectrodes(ctx context.Context, es []Electrode) (*Solution, error) {
	ps, err := pieces(es, s.options.MaxElements)
	if err != nil {
		return nil, err
	}
	els, err := mesh(ps, s.model, s.options, es)
	if err != nil {
		return nil, err
	}
	dense, ok := s.chol.(cholesky)
	fresh := make(map[spot]int, len(els))
	for i := range els {
		fresh[els[i].spot()] = i
	}
	var gone []int
	order := make([]element, 0, len(els))
	for i := range s.elements {
		k, stays := fresh[s.elements[i].spot()]
		if !stays {
			gone = append(gone, i)
			continue
		}
		e := s.elements[i]
		e.wire = els[k].wire
		order = append(order, e)
		delete(fresh, e.spot())
	}
	out := &Solution{model: s.model, options: s.options, given: es, fill: s.fill}
	// Where most rows change, all are cheaper.
	if !ok || len(gone)+len(fresh) > len(els)/2 {
		out.elements, out.fill = els, newFiller(s.fill.k, els)
		a, err := out.fill.matrix(ctx, els)
		if err != nil {
			return nil, err
		}
		if err := a.factor(ctx); err != nil {
			return nil, err
		}
		out.chol = a
		return out, out.finish(ctx)
	}
	l := dense.without(gone)
	for i := range els { // in the mesh's order
		if _, is := fresh[els[i].spot()]; is {
			e := els[i]
			s.fill.class(&e, false)
			order = append(order, e)
		}
	}
	rows := make([][]float64, len(order)-len(l))
	stay := len(l)
	if err := inParallel(ctx, len(rows), 4, func(i int) {
		rows[i] = make([]float64, stay+i+1)
		s.fill.row(rows[i], &order[stay+i], order)
	}); err != nil {
		return nil, err
	}
	for _, r := range rows {
		if l, err = l.border(r); err != nil {
			return nil, err
		}
	}
	out.elements, out.chol = order, l
	return out, out.finish(ctx)
}
