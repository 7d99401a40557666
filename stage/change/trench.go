package change

import (
	"math"

	"stubup/base/geom"
	"stubup/base/unit"
	"stubup/plan"
	"stubup/trade/raceway"
)

// RunDiff is what a move does to one run.
type RunDiff struct {
	ID       string
	Old, New *plan.Run // nil where the run is only in one revision

	Length  unit.Metre       // new - old
	Same    unit.Metre       // station to which both follow one path
	Kept    unit.Metre       // of what is laid, how much stays
	TakeUp  unit.Metre       // of what is laid, how much must come out
	Dig     unit.Metre       // new trench: buried path that no open trench holds
	Refill  unit.Metre       // open trench past the turn, to be filled in
	NotDug  unit.Metre       // trench of the old path that was never dug and is not needed
	Cores   []plan.WallEntry // new holes
	Patched []plan.WallEntry // holes no longer used
	OldSums []unit.Degree
	NewSums []unit.Degree
	Beyond  bool // the new path leaves the area of the dig ticket
}

// same is how close two paths must be to count as one: the width of a chalk
// line.
const same = 0.01

// step is how finely a path is walked, and bite how closely a crossing is
// then bisected.
const (
	step = 0.02
	bite = 1e-6
)

// diffRun compares a run in two revisions.
func diffRun(old, new *plan.Run, ticket geom.Outline) RunDiff {
	d := RunDiff{Old: old, New: new}
	if old != nil {
		d.ID = old.ID
		d.Length -= old.Length
		for _, s := range old.Sections {
			d.OldSums = append(d.OldSums, s.Degrees)
		}
	}
	if new != nil {
		d.ID = new.ID
		d.Length += new.Length
		for _, s := range new.Sections {
			d.NewSums = append(d.NewSums, s.Degrees)
		}
	}
	switch {
	case old != nil && new != nil:
		d.Same = common(old, new)
	case old == nil:
		d.Dig = new.Trench
		d.Cores = new.Entries
		d.Beyond = leaves(new, ticket)
		return d
	}
	d.Kept = min(old.Laid, d.Same)
	d.TakeUp = max(0, old.Laid-d.Same)
	d.Refill = max(0, old.Open-max(d.Same, 0))
	if old.Open == 0 {
		d.Refill = 0
	}
	undug := func(s unit.Metre) bool { return s > old.Open+1e-9 }
	if new == nil {
		d.NotDug = buried(old, func(s unit.Metre, _ geom.Point) bool { return undug(s) })
		d.Patched = old.Entries
		return d
	}
	d.NotDug = buried(old, func(s unit.Metre, at geom.Point) bool {
		return undug(s) && s > d.Same && !along(new, old, at, new.Length)
	})
	// What both want and nobody has dug yet is the old plan's trench, not new.
	d.Dig = buried(new, func(s unit.Metre, at geom.Point) bool { return s > d.Same && !along(old, new, at, old.Length) })
	d.Cores = entriesNotIn(new.Entries, old.Entries)
	d.Patched = entriesNotIn(old.Entries, new.Entries)
	d.Beyond = leaves(new, ticket)
	return d
}

// common returns the station up to which both runs follow one path.
func common(a, b *plan.Run) unit.Metre {
	end := min(a.Length, b.Length)
	off := func(s unit.Metre) bool { return a.At(s).Dist(b.At(s)) > same }
	if off(0) {
		return 0
	}
	// The first place where they part lies at the end of a piece of one of
	// them: compare there, then step into the piece that parts.
	last := unit.Metre(0)
	for s := unit.Metre(0); s <= end; s += step {
		if off(s) {
			break
		}
		last = s
	}
	if last+step >= end && !off(end) {
		return end
	}
	// Paths part tangentially, so the parting place is the joint before it.
	best := unit.Metre(0)
	for _, r := range []*plan.Run{a, b} {
		for _, q := range r.Pieces {
			if q.Station <= last+1e-9 && q.Station > best && !sameKind(a, b, q.Station) {
				best = q.Station
			}
		}
	}
	if best == 0 {
		return last
	}
	return best
}

// sameKind reports whether both runs go on from s alike for a hand's width.
func sameKind(a, b *plan.Run, s unit.Metre) bool {
	const ahead = 0.3
	return a.At(s+ahead).Dist(b.At(s+ahead)) < 1e-6
}

// buried sums the trenched length of a run where the test holds, walking it
// finely and bisecting every place where the answer turns.
func buried(r *plan.Run, test func(s unit.Metre, at geom.Point) bool) unit.Metre {
	var sum unit.Metre
	for _, q := range r.Pieces {
		if !plan.InTrench(q) {
			continue
		}
		n := max(1, int(math.Ceil(float64(q.Length)/step)))
		in := func(x float64) bool { return test(q.Station+unit.Metre(x), q.At(x).Plan()) }
		h := float64(q.Length) / float64(n)
		was := in(1e-9)
		for i := range n {
			lo, hi := float64(i)*h, float64(i+1)*h
			is := in(hi - 1e-9)
			switch {
			case was && is:
				sum += unit.Metre(hi - lo)
			case was != is:
				a, b := lo, hi
				for b-a > bite {
					if m := (a + b) / 2; in(m) == was {
						a = m
					} else {
						b = m
					}
				}
				if was {
					sum += unit.Metre(a - lo)
				} else {
					sum += unit.Metre(hi - b)
				}
			}
			was = is
		}
	}
	return sum
}

// along reports whether a place on one run lies in the trench of the other, up
// to a station of it, dug or drawn: the whole width of the raceway must lie
// between the sides.
func along(trench, pipe *plan.Run, at geom.Point, upTo unit.Metre) bool {
	width := trench.OpenWidth
	if !width.Set {
		width = pipe.OpenWidth
	}
	dim, _ := raceway.Dim(pipe.Kind, pipe.Trade)
	half := same // one line, where nobody says how wide the trench is
	if width.Set {
		half = max(same, float64(width.SI)/2-float64(dim.OD)/2)
	}
	for _, q := range trench.Pieces {
		if q.Station >= upTo || !plan.InTrench(q) {
			continue
		}
		end := min(q.Length, upTo-q.Station)
		if q.Arc {
			n := max(2, int(math.Ceil(float64(end)/step)))
			for k := range n {
				s := geom.Segment{A: q.At(float64(end) * float64(k) / float64(n)).Plan(), B: q.At(float64(end) * float64(k+1) / float64(n)).Plan()}
				if n, _ := s.Nearest(at); n.Dist(at) <= half {
					return true
				}
			}
			continue
		}
		s := geom.Segment{A: q.A.Plan(), B: q.At(float64(end)).Plan()}
		// Square to the trench: past its end there is earth, however near.
		t := at.Sub(s.A).Dot(s.Dir())
		if t < 0 || t > s.Len() {
			continue
		}
		if n, _ := s.Nearest(at); n.Dist(at) <= half {
			return true
		}
	}
	return false
}

func entriesNotIn(a, b []plan.WallEntry) []plan.WallEntry {
	var out []plan.WallEntry
	for _, e := range a {
		found := false
		for _, f := range b {
			if e.Wall == f.Wall && e.At.Dist(f.At) < 0.05 {
				found = true
			}
		}
		if !found {
			out = append(out, e)
		}
	}
	return out
}

func leaves(r *plan.Run, ticket geom.Outline) bool {
	if len(ticket) < 3 {
		return false
	}
	for _, q := range r.Pieces {
		if !plan.InTrench(q) {
			continue
		}
		for k := range 9 {
			if !ticket.Contains(q.At(float64(q.Length) * float64(k) / 8).Plan()) {
				return true
			}
		}
	}
	return false
}
