package nfpa70

import (
	"fmt"

	"stubup/answer"
	"stubup/base/geom"
	"stubup/base/unit"
	"stubup/plan"
	"stubup/rule"
	"stubup/trade/raceway"
)

func expansion() []*rule.Rule {
	return []*rule.Rule{
		of("352.44.expansion", "expansion", rule.Shall, "plastic conduit that moves 1/4 in or more has an expansion fitting", "60 ft of PVC-40 on a sunny wall without a fitting", fitting),
		of("250.98.jumper", "expansion.jumper", rule.Shall, "a metal expansion fitting is bonded across", "an expansion fitting in RMC without a jumper", jumper),
	}
}

func plastic(k raceway.Kind) bool {
	m, ok := raceway.MaterialOf(k, false)
	return ok && (m == raceway.PVC || m == raceway.Resin)
}

func fitting(v rule.View) []rule.Finding {
	return runs(v, func(r *plan.Run) []rule.Finding {
		path := rule.RunPath(r)
		if !plastic(r.Kind) {
			return one(rule.Outside(path, "asked of PVC and RTRC; metal moves a sixth as much and stands under 300.7(B)"))
		}
		var fs []rule.Finding
		var room []float64
		for _, st := range answer.OpenStraights(r) {
			f := rule.Finding{Path: fmt.Sprintf("%s, straight at %s", path, v.RunLength(float64(st.From))), Span: r.Run.Span, At: []geom.Point{r.At(st.From).Plan(), r.At(st.From + st.Length).Plan()}}
			f.Required = "an expansion fitting where the length changes by " + figures.Text("expansion") + " or more"
			e := v.Answer.Expansion(r, st)
			if st.Where == "" && st.Length > 2*unit.Foot {
				f.Mend = "write \"in: wall\", roof, indoor or trench beside the straight, and \"sun: yes\" where the sun reaches it"
				fs, room = append(fs, rule.Lacks(f, fmt.Sprintf("where the straight of %s of run %s lies", v.RunLength(float64(st.Length)), r.ID))), append(room, 0)
				continue
			}
			if !e.OK() {
				// A straight too short to move by the trigger in any weather
				// needs no temperatures.
				if long, ok := raceway.LongestWithout(raceway.PVC, widest); ok && st.Length <= long {
					continue
				}
				fs, room = append(fs, rule.Lacks(f, e.Missing)), append(room, 0)
				continue
			}
			f.Value = e.Value
			print := v.Fine
			f.Found = "changes by " + e.Value.Text
			switch {
			case !e.Needed:
				f.Outcome = rule.Holds
			case !e.Fitted:
				f.Outcome = rule.Broken
				f.Found += ", no fitting"
				f.Mend = setting(e, print)
			default:
				have := unit.Metre(0)
				known := true
				for _, x := range st.Fitting {
					have += x.Travel.Or(v.Site.Supplies.ExpansionTravel.Or(0))
					known = known && (x.Travel.Set || v.Site.Supplies.ExpansionTravel.Set)
				}
				f.Mend = setting(e, print)
				if !known {
					f = rule.Lacks(f, "the travel of the expansion fitting of run "+r.ID)
					break
				}
				g := rule.AtLeast(f, float64(have), e.Value.SI, print)
				g.Required, g.Found = f.Required+", with travel of "+print(e.Value.SI), f.Found+", fitted with travel of "+print(float64(have))
				f = g
				f.Note = setting(e, print)
			}
			fs, room = append(fs, f), append(room, -e.Value.SI)
		}
		if len(fs) == 0 {
			return one(rule.Outside(path, "no straight of it in the open is long enough to move"))
		}
		return rule.Tightest(fs, room)
	})
}

// widest is a range of pipe temperature wider than any compound sees, 110 C:
// a straight that does not move by the trigger over it never does.
const widest = unit.Celsius(110)

// setting says how a fitting is chosen and set.
func setting(e answer.ExpansionAnswer, print func(float64) string) string {
	s := ""
	if e.Count > 0 {
		n := "one fitting"
		if e.Count > 1 {
			n = fmt.Sprintf("%d fittings", e.Count)
		}
		s = fmt.Sprintf("%s with %s of travel", n, print(float64(e.Travel)))
	} else {
		s = "fittings with at least " + print(e.Value.SI) + " of travel together"
	}
	if e.Set != nil {
		s += fmt.Sprintf("; set with %s left to expand, anywhere from %s to %s", e.Set.Text, e.Low.Text, e.High.Text)
	} else if e.Unset != "" {
		s += "; how it is set waits for " + e.Unset
	}
	return s + "; " + e.Anchor + "; frost and settlement at a riser are a separate case"
}

// jumper looks at every expansion fitting of a metal raceway.
func jumper(v rule.View) []rule.Finding {
	return runs(v, func(r *plan.Run) []rule.Finding {
		path := rule.RunPath(r)
		switch {
		case !r.Kind.Metal():
			return one(rule.Outside(path, "the raceway is not metal"))
		case len(r.Expansions) == 0:
			return one(rule.Outside(path, "it has no expansion fitting"))
		}
		var out []rule.Finding
		for _, e := range r.Expansions {
			f := rule.Finding{
				Path: path + ", expansion fitting at " + v.RunLength(float64(e.Station)), Span: e.Span, At: []geom.Point{e.At.Plan()},
				Required: "a bonding jumper across the fitting, unless it is listed without",
				Mend:     "order a listed bonding jumper with the fitting, set it, photograph it, and write \"jumper: yes\" on the fitting",
			}
			switch e.Jumper {
			case "yes":
				out = append(out, rule.YesNo(f, true, f.Required, "a jumper across it"))
			case "listed":
				out = append(out, rule.YesNo(f, true, f.Required, "listed without one"))
			case "no":
				out = append(out, rule.YesNo(f, false, f.Required, "no jumper"))
			default:
				out = append(out, rule.Lacks(f, "whether the expansion fitting of run "+r.ID+" is bonded across"))
			}
		}
		return out
	})
}
