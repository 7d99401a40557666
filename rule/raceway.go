package rule

import (
	"fmt"
	"strings"

	"stubup/answer"
	"stubup/base/unit"
	"stubup/plan"
	"stubup/trade/raceway"
)

// pullFriction is the coefficient at which the cost of a bend is told: a
// lubricated pull. Common practice, no source; the pull itself is computed
// with the person's own.
const pullFriction = 0.2

// BendSum judges the bends of one section of a run against a limit in
// degrees. What is broken says what the bends cost and where a pull point
// would mend it.
func BendSum(v View, r *plan.Run, i int, limit float64) Finding {
	s := r.Sections[i]
	f := Finding{Path: SectionPath(r, i), Span: r.Run.Span, Points: PullIDs(s), At: SectionAt(s)}
	a := v.Answer.BendSum(r, i)
	if !a.OK() {
		f.Required = "at most " + Degrees(limit)
		return Lacks(f, a.Missing)
	}
	f.Value = a.Value
	f = AtMost(f, a.Value.SI, limit, Degrees)
	if f.Outcome != Broken {
		return f
	}
	f.Note = BendCostNote(v, r, i)
	f.Mend = PullMend(v, r, i, limit)
	return f
}

// BendCostNote says what the bends of a section cost in pulling tension.
func BendCostNote(v View, r *plan.Run, i int) string {
	quarter := answer.BendFactor(pullFriction, 90)
	note := fmt.Sprintf("each 90 is x %s in tension at friction %s", unit.Fixed(quarter, 1), unit.Trim(pullFriction, 2))
	if c := v.Answer.BendCost(r, i, pullFriction); c.OK() {
		note += ", all of them " + c.Value.Text
	}
	return note
}

// PullMend proposes where a pull point would bring every section within a
// limit, in straights only. A conduit body is offered only where the owner
// does not ban it.
func PullMend(v View, r *plan.Run, i int, limit float64) string {
	var words []string
	for _, p := range v.Answer.PullPlaces(r, i, 2, unit.Degree(limit)) {
		w := fmt.Sprintf("at %s in a straight (%s before, %s after", v.RunLength(float64(p.Station)), Degrees(float64(p.Before)), Degrees(float64(p.After)))
		if !p.Fits {
			w += ", still over"
		}
		words = append(words, w+")")
	}
	mend := "take bends out: no straight of this section has room for a pull box"
	if len(words) > 0 {
		mend = "set a pull box " + strings.Join(words, ", or ")
	}
	if ban, no := v.OwnerBans("conduit-bodies", r.Service); no {
		return mend + "; no conduit body: " + v.OwnerCite(ban).String() + " bans it"
	}
	if Telecom(r) {
		return mend + "; a conduit body has no radius for a cable that asks one"
	}
	return mend + "; or a conduit body in place of a 90, within reach"
}

// Fill judges the fill of a run by the test that was used on it.
func Fill(v View, f Finding, a answer.FillAnswer) Finding {
	f.Value = a.Value
	f.Mend = "pull fewer conductors, or use a larger raceway"
	if set, missing := answer.Fillers(v.Plan.RunByID(strings.TrimPrefix(f.Path, "run "))); missing == "" {
		if t, _, err := raceway.SmallestTrade(a.Fill.Kind, set, a.Fill.Nipple); err == nil {
			f.Mend = fmt.Sprintf("use %s %s, the smallest that holds them", a.Fill.Kind, t)
		}
	}
	if a.Fill.Test == raceway.CountTest {
		f = AtMost(f, float64(a.Fill.Count), float64(a.Fill.Most), func(n float64) string { return unit.Fixed(n, 0) + " alike" })
		f.Found += ", " + Percent(float64(a.Fill.Found)) + " full"
		f.Note = "test by count of one size"
		if a.Fill.Borderline {
			f.Note += "; printed counts may differ by one here"
		}
	} else {
		f = AtMost(f, float64(a.Fill.Found), float64(a.Fill.Share), Percent)
		f.Note = "test by area"
	}
	if a.Fill.Nipple {
		f.Note += ", a nipple"
	}
	return f
}

// Length judges the length of a section between pull points.
func Length(v View, r *plan.Run, i int, limit float64) Finding {
	s := r.Sections[i]
	f := Finding{Path: SectionPath(r, i), Span: r.Run.Span, Points: PullIDs(s), At: SectionAt(s)}
	a := v.Answer.SectionLength(r, i)
	if !a.OK() {
		f.Required = "at most " + v.RunLength(limit)
		return Lacks(f, a.Missing)
	}
	f.Value = a.Value
	f.Mend = "set a pull point in a straight so that no section is longer"
	return AtMost(f, a.Value.SI, limit, v.RunLength)
}

// InsideRadius judges the inside radius of every bend of a run against a least
// radius and returns the tightest.
func InsideRadius(v View, r *plan.Run, least float64, mend string) []Finding {
	var fs []Finding
	var room []float64
	for i, q := range r.Pieces {
		if !q.Arc {
			continue
		}
		f := Finding{Path: fmt.Sprintf("%s, %s at %s", RunPath(r), q.What, v.RunLength(float64(q.Station))), Span: q.Span, Mend: mend}
		a := v.Answer.InsideRadius(r, i)
		if !a.OK() {
			f.Required = "inside radius at least " + v.Short(least)
			return []Finding{Lacks(f, a.Missing)}
		}
		f.Value = a.Value
		f = AtLeast(f, a.Value.SI, least, v.Short)
		f.Required = "inside radius " + f.Required
		fs, room = append(fs, f), append(room, a.Value.SI)
	}
	if len(fs) == 0 {
		return []Finding{Outside(RunPath(r), "it has no bend")}
	}
	return Tightest(fs, room)
}
