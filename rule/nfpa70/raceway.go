package nfpa70

import (
	"fmt"
	"math"

	"stubup/base/geom"
	"stubup/plan"
	"stubup/rule"
	"stubup/trade/raceway"
)

func raceways() []*rule.Rule {
	return []*rule.Rule{
		of("300.bend-sum", "bend.sum", rule.Shall, "at most 360 degrees of bend between pull points", "five 90 degree bends and no pull box", bendSum),
		of("300.bend-radius", "bend.radius", rule.Shall, "a field bend is no tighter than Chapter 9 Table 2", "2 in conduit bent to 8 in", bendRadius),
		of("chapter9.fill", "fill", rule.Shall, "conductors fill no more of a raceway than Chapter 9 Table 1 allows", "12 x 3/0 in 2 in PVC-40", fill),
		of("300.21.firestop", "firestop", rule.Shall, "a hole through a fire-rated wall is firestopped", "a core through a rated wall, no firestop yet", firestop),
	}
}

// runs calls look for every run that was drawn to its end.
func runs(v rule.View, look func(*plan.Run) []rule.Finding) []rule.Finding {
	var out []rule.Finding
	for i := range v.Plan.Runs {
		r := &v.Plan.Runs[i]
		if !r.OK {
			out = append(out, rule.UndrawnRun(r))
			continue
		}
		out = append(out, look(r)...)
	}
	if len(out) == 0 {
		return one(rule.Outside("runs", "there is no run"))
	}
	return out
}

func bendSum(v rule.View) []rule.Finding {
	limit, _ := raceway.BendLimit()
	return runs(v, func(r *plan.Run) []rule.Finding {
		var out []rule.Finding
		for i := range r.Sections {
			out = append(out, rule.BendSum(v, r, i, float64(limit)))
		}
		return out
	})
}

// bendRadius is for field bends: a factory elbow is made to its own standard.
func bendRadius(v rule.View) []rule.Finding {
	return runs(v, func(r *plan.Run) []rule.Finding {
		if r.Kind == raceway.HDPE {
			return one(rule.Outside(rule.RunPath(r), "HDPE has a table of its own, which is not carried here"))
		}
		other, _, ok := raceway.MinBendRadius(r.Trade, raceway.OtherBend)
		shot, _, _ := raceway.MinBendRadius(r.Trade, raceway.OneShot)
		var fs []rule.Finding
		var room []float64
		bends := 0
		for i, q := range r.Pieces {
			if !q.Arc {
				continue
			}
			bends++
			if q.Made == "factory" {
				continue
			}
			f := rule.Finding{Path: fmt.Sprintf("%s, %s at %s", rule.RunPath(r), q.What, v.RunLength(float64(q.Station))), Span: q.Span, At: []geom.Point{q.A.Plan(), q.B.Plan()}}
			if !ok {
				f.Required = "no tighter than Chapter 9 Table 2"
				fs, room = append(fs, rule.Lacks(f, "the trade size of run "+r.ID)), append(room, 0)
				continue
			}
			f.Value = v.Answer.ArcRadius(r, i).Value
			f.Mend = "bend it to at least " + v.Short(float64(other)) + ", or use a factory elbow"
			least := other
			if q.Bender != nil {
				// A bender with a radius of its own has a shoe that holds the whole bend.
				least, f.Note = shot, "on "+q.Bender.Name+", taken as a full-shoe bender"
			}
			g := rule.AtLeast(f, float64(q.Radius), float64(least), v.Short)
			if q.Bender == nil && g.Outcome == rule.Broken && rule.AtLeast(f, float64(q.Radius), float64(shot), v.Short).Outcome == rule.Holds {
				f.Required = g.Required + ", or " + v.Short(float64(shot)) + " on a one-shot or full-shoe bender"
				f.Mend = "say how it is made, or bend it to " + v.Short(float64(other))
				g = rule.Lacks(f, "which bender makes this bend of "+g.Found)
			}
			fs, room = append(fs, g), append(room, float64(q.Radius))
		}
		switch {
		case bends == 0:
			return one(rule.Outside(rule.RunPath(r), "it has no bend"))
		case len(fs) == 0:
			return one(rule.Outside(rule.RunPath(r), "all its bends are factory elbows"))
		}
		return rule.Tightest(fs, room)
	})
}

// fill is out of place on a raceway that carries signals only.
func fill(v rule.View) []rule.Finding {
	return runs(v, func(r *plan.Run) []rule.Finding {
		f := rule.Finding{Path: rule.RunPath(r), Span: r.Run.Span}
		if rule.Telecom(r) {
			return one(rule.Outside(f.Path, "it carries no power conductors: "+figures.Cite("fill.telecom").Full()+" ask no fill of it; the telecom and the owner's fill are looked at apart"))
		}
		a := v.Answer.Fill(r)
		if !a.OK() {
			f.Required = "no fuller than Chapter 9 Table 1"
			return one(rule.Lacks(f, a.Missing))
		}
		return one(rule.Fill(v, f, a))
	})
}

// firestop asks for the listed system of every core through a rated wall. The
// tool cannot judge a system: it asks that one is named.
func firestop(v rule.View) []rule.Finding {
	var out []rule.Finding
	for i := range v.Plan.Runs {
		r := &v.Plan.Runs[i]
		for _, e := range r.Entries {
			f := rule.Finding{Path: rule.RunPath(r) + ", wall " + e.Wall, Span: e.Span, At: []geom.Point{e.At.Plan()}, Required: "a listed firestop system"}
			if !e.Rated {
				out = append(out, rule.Outside(f.Path, "the wall is not said to be fire-rated"))
				continue
			}
			f.Mend = "choose a listed firestop system for the core and the raceway, photograph it with its label, and file it with the wall entry"
			switch e.Firestop {
			case "":
				out = append(out, rule.Lacks(f, "the listed firestop system of this core"))
			case "none":
				out = append(out, rule.YesNo(f, false, f.Required, "none yet"))
			default:
				out = append(out, rule.YesNo(f, true, f.Required, e.Firestop))
			}
		}
	}
	if len(out) == 0 {
		return one(rule.Outside("runs", "no run goes through a wall"))
	}
	return out
}

// upright reports whether a piece comes out of the ground or stands upright.
func upright(q plan.Piece) bool {
	return q.A.Z >= 0 || q.B.Z >= 0 || math.Abs(q.Dir.Z) > math.Sqrt2/2 || math.Abs(q.Out.Z) > math.Sqrt2/2
}
