package order

import (
	"fmt"
	"math"

	"stubup/base/unit"
	"stubup/plan"
	"stubup/trade/raceway"
	"stubup/trade/stock"
)

// Stretch is raceway in one make-up between two places where it is open or
// meets a fitting: the ends of the run, pull points, factory bends and
// expansion fittings. Straights that follow each other are one straight.
type Stretch struct {
	Run      string
	Name     string     // "fiber 1 from 0'-0""
	From     unit.Metre // station along the run
	Length   unit.Metre // of pipe, bends by their arcs
	Pieces   []plan.Piece
	Sticks   []Bit  // how it is made up of sticks
	Couple   int    // couplings at its ends and inside: see chain
	Problem  string // why no make-up was found
	HasBends bool
}

// Bit is the part of a stretch that is one stick or a cut of one.
type Bit struct {
	From, To unit.Metre // along the stretch
}

// Length returns the length of pipe.
func (b Bit) Length() unit.Metre { return b.To - b.From }

// FieldMade reports whether a bend is made on the pipe itself, and whether
// the document says so. Where it does not, a metal raceway is taken as bent on
// site and a rigid nonmetallic one as a factory bend; the bill says that.
func FieldMade(k raceway.Kind, q plan.Piece) (field, said bool) {
	switch q.Made {
	case "factory", "sweep":
		return false, true
	case "field", "heated":
		return true, true
	}
	return k.Metal() || k.Flexible(), false
}

// StickOf returns the stock length of a run and whether the document says it.
func StickOf(r plan.Run) (unit.Metre, bool) {
	if r.Stick.Set && r.Stick.SI > 0 {
		return r.Stick.SI, true
	}
	return practiceLength("stick.length"), false
}

// chain is a section of a run as a row of things that meet end to end.
type chain struct {
	stretches []Stretch
	bends     []plan.Piece // factory bends
	couplings int          // where pipe meets pipe or bend, each once
	fittings  int          // expansion fittings, which couple by themselves
}

// chains splits a run at its pull points.
func chains(r plan.Run, sys unit.System) []chain {
	var out []chain
	for i := 0; i+1 < len(r.Pulls); i++ {
		if c := chainOf(r, r.Pulls[i].Station, r.Pulls[i+1].Station, sys); len(c.stretches)+len(c.bends) > 0 {
			out = append(out, c)
		}
	}
	return out
}

// chainOf makes up the part of a run between two stations.
func chainOf(r plan.Run, from, to unit.Metre, sys unit.System) chain {
	const hair = unit.Metre(1e-6)
	stick, _ := StickOf(r)
	var c chain
	var cur *Stretch
	items := 0 // things in the row so far
	free := false
	place := func() { // a thing is set: it is coupled to the one before
		if items > 0 && !free {
			c.couplings++
		}
		items++
		free = false
	}
	flush := func() {
		if cur == nil {
			return
		}
		cur.layOut(stick, r.Kind.Flexible())
		place()
		c.couplings += max(0, len(cur.Sticks)-1)
		c.stretches = append(c.stretches, *cur)
		cur = nil
	}
	push := func(q plan.Piece) {
		if q.Length <= hair {
			return
		}
		if cur == nil {
			cur = &Stretch{Run: r.ID, Name: fmt.Sprintf("%s from %s", r.ID, sys.Length(q.Station)), From: q.Station}
		}
		if n := len(cur.Pieces); n > 0 && !q.Arc && !cur.Pieces[n-1].Arc {
			last := &cur.Pieces[n-1]
			last.Length += q.Length
			last.B = q.B
		} else {
			cur.Pieces = append(cur.Pieces, q)
		}
		cur.Length += q.Length
		cur.HasBends = cur.HasBends || q.Arc
	}
	at := 0 // next expansion fitting
	for _, q := range r.Pieces {
		if q.Station < from-hair || q.Station+q.Length > to+hair {
			continue
		}
		if q.Arc {
			if field, _ := FieldMade(r.Kind, q); field {
				push(q)
				continue
			}
			flush()
			place()
			c.bends = append(c.bends, q)
			continue
		}
		for at < len(r.Expansions) {
			x := r.Expansions[at]
			if x.Station < q.Station-hair || x.Station < from-hair {
				at++
				continue
			}
			if x.Station > q.Station+q.Length+hair {
				break
			}
			head := q
			head.Length = x.Station - q.Station
			head.B = q.At(float64(head.Length))
			push(head)
			flush()
			c.fittings++
			free = true // the fitting couples by itself
			q.A, q.Length, q.Station = head.B, q.Length-head.Length, x.Station
			at++
		}
		push(q)
	}
	flush()
	return c
}

// layOut chooses where the couplings sit: as few as can be, none in a bend or
// close to its ends, nor closer than its bender can bend, none between the
// bends of an offset or a saddle where a stick holds all of it, no scrap of a
// piece where it can be helped, and of those the make-up that cuts the fewest
// sticks.
func (s *Stretch) layOut(stick unit.Metre, coil bool) {
	s.Sticks = []Bit{{0, s.Length}}
	if coil || !(stick > 0) {
		return
	}
	clear := practiceLength("coupling.clear")
	zones := func(whole bool) []stock.Zone {
		var no []stock.Zone
		x := unit.Metre(0)
		for _, q := range s.Pieces {
			switch {
			case q.Arc:
				c := clear
				if q.Bender != nil {
					c = max(c, q.Bender.End)
				}
				no = append(no, stock.Zone{From: x - c, To: x + q.Length + c})
			case whole && q.Part != "":
				no = append(no, stock.Zone{From: x, To: x + q.Length})
			}
			x += q.Length
		}
		return no
	}
	l, err := stock.Couple(s.Length, stick, practiceLength("piece.short"), zones(true))
	if err == nil && l.Over > 0 {
		l, err = stock.Couple(s.Length, stick, practiceLength("piece.short"), zones(false))
	}
	if err != nil {
		s.Problem = err.Error()
		return
	}
	s.Sticks = s.Sticks[:0]
	at := unit.Metre(0)
	for _, end := range l.Ends {
		s.Sticks = append(s.Sticks, Bit{at, end})
		at = end
	}
	if l.Over > 0 {
		s.Problem = fmt.Sprintf("a bend and the straight beside it are longer than one stick of %s: order a factory sweep or a longer stick", unit.FeetInches(stick))
	}
}

// Stretches returns the stretches of a whole run, in order, each made up of
// sticks.
func Stretches(r plan.Run, sys unit.System) []Stretch {
	var out []Stretch
	for _, c := range chains(r, sys) {
		out = append(out, c.stretches...)
	}
	return out
}

// bendName names a factory bend as it is ordered.
func bendName(r plan.Run, q plan.Piece, sys unit.System) string {
	word := "factory bend"
	if q.Made == "sweep" {
		word = "sweep"
	}
	if q.Made == "factory" {
		word = "factory elbow"
	}
	return fmt.Sprintf("%s %s deg, %s %s, radius %s", word, unit.Trim(float64(q.Angle), 1), r.Kind, r.Trade, sys.Short(q.Radius))
}

func ceil(v float64) int { return int(math.Ceil(v - 1e-6)) }
