package work

import (
	_ "embed" // the practice table beside this file
	"fmt"

	"stubup/base/table"
	"stubup/base/unit"
	"stubup/plan"
	"stubup/site"
	"stubup/stage/order"
)

//go:embed tables/practice.csv
var practiceCSV string

var practice = table.Lazy(practiceCSV)

func practiceValue(key string) float64 {
	v, ok := practice().Num(key, "value")
	if !ok {
		panic("work: no practice figure " + key)
	}
	return v
}

// Outcome is what became of one charge.
type Outcome int

// Outcomes of a charge. A misfire that was lit again is no outcome of its
// own: the same charge goes on to one of these.
const (
	Good   Outcome = iota
	Reject         // fired, and the joint is to be done again
	Lost           // misfired and spoiled: the joint is still to do
)

// Charges is how a pool of one charge size stands. All joint types that share
// the size share the pool.
type Charges struct {
	Joints  int // still to make
	Left    int // charges on site; below zero when more were used than counted
	Used    int
	Rejects int
	Lost    int
	AlarmAt int // number of the charge at which the pool first fell short; 0: it has not
}

// Count follows a pool from its start through what became of each charge:
//
//	joints left  = joints - good
//	charges left = charges - used
//	short        = joints left - charges left = rejects + lost - spares
func Count(joints, charges int, used []Outcome) Charges {
	c := Charges{Joints: joints, Left: charges}
	if c.Short() > 0 {
		c.AlarmAt = 1
	}
	for _, o := range used {
		c.Used++
		c.Left--
		switch o {
		case Reject:
			c.Rejects++
		case Lost:
			c.Lost++
		default:
			c.Joints--
		}
		if c.AlarmAt == 0 && c.Short() > 0 {
			c.AlarmAt = c.Used
		}
	}
	return c
}

// Short returns how many charges will be missing at the end if all goes well
// from here; below zero are spares.
func (c Charges) Short() int { return c.Joints - c.Left }

// Words returns the alarm, or how the pool stands.
func (c Charges) Words(size string) string {
	s := fmt.Sprintf("%s of %s for %s", plural(c.Left, "charge"), size, plural(c.Joints, "joint"))
	switch n := c.Short(); {
	case n > 0:
		return fmt.Sprintf("short by %d: %s", n, s)
	case n == 0:
		return s + ", no spare: the next reject runs short"
	}
	return fmt.Sprintf("%s, %d spare", s, -c.Short())
}

// MayWait reports whether a joint can be made after the backfill: it is above
// grade. What is in the ground is needed first.
func MayWait(j plan.Joint) bool { return j.Z > 0 && (j.Kind == plan.ToPipe || j.Kind == plan.ToFlat) }

// RunningShort says what a crew does when the charges of one size run short:
// what is made first, what may wait, and what else there is to fire meanwhile.
func RunningShort(s *site.Site, p *plan.Plan, size unit.Kilogram, done map[string]bool) []string {
	var first, wait, other []string
	for _, j := range p.Welded() {
		if done[j.ID] {
			continue
		}
		q, why := order.ChargeOf(s, j)
		same := why == "" && q.SI > size-5e-5 && q.SI < size+5e-5
		switch {
		case same && MayWait(j):
			wait = append(wait, j.ID)
		case same:
			first = append(first, j.ID)
		case why == "" && !j.Unknown:
			other = append(other, j.ID)
		}
	}
	var out []string
	if len(first) > 0 {
		out = append(out, "first: "+order.IDs(first)+", in the ground and wanted before backfill")
	}
	if len(wait) > 0 {
		out = append(out, "may wait: "+order.IDs(wait)+", above grade")
	} else {
		out = append(out, "none of these may wait: all are in the ground")
	}
	if len(other) > 0 {
		out = append(out, "meanwhile: "+order.IDs(other)+" take another charge")
	}
	return append(out, "meanwhile: rods, depths, tags, photos and tap checks need no charge")
}

// DryDue says whether mold and conductor are to be dried before the next
// shot, and why. It is asked when it is due and not at every joint.
func DryDue(firstToday bool, idle unit.Second, rain, wetGround bool) (bool, string) {
	limit := practiceValue("dry.idle")
	switch {
	case firstToday:
		return true, "first shot of the day"
	case rain:
		return true, "rain since the last shot"
	case wetGround:
		return true, "the ground is wet"
	case float64(idle)/60 > limit:
		return true, fmt.Sprintf("idle %s min, over %s", unit.Trim(float64(idle)/60, 0), unit.Trim(limit, 0))
	}
	return false, ""
}

func plural(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return fmt.Sprintf("%d %ss", n, word)
}
