package nfpa70

import (
	"fmt"

	"stubup/answer"
	"stubup/base/geom"
	"stubup/plan"
	"stubup/rule"
	"stubup/site"
	"stubup/trade/raceway"
)

func buried() []*rule.Rule {
	return []*rule.Rule{
		of("300.5.cover", "cover", rule.Shall, "a buried raceway has the cover of Table 300.5, to its top", "2 in PVC-40 with its centerline 18 in deep in open ground", cover),
		of("300.5.ribbon", "ribbon", rule.Shall, "a warning ribbon lies over buried service conductors", "service conductors 24 in deep, no ribbon above them", ribbon),
	}
}

// cover is asked of power and control wiring. A pathway for signals alone
// stands under the telecom articles, which ask no such depth; the owner's and
// the utility's depths stand apart.
func cover(v rule.View) []rule.Finding {
	return runs(v, func(r *plan.Run) []rule.Finding {
		path := rule.RunPath(r)
		if rule.Telecom(r) {
			return one(rule.Outside(path, "a pathway for signals only: the owner's and the serving utility's depth decide"))
		}
		var out []rule.Finding
		for _, q := range r.Pieces {
			if q.Where == "" && !upright(q) {
				f := rule.Finding{
					Path: path, Span: q.Span, At: []geom.Point{q.A.Plan()}, Required: "the cover of Table 300.5",
					Mend: "write \"in: trench\", driveway or slab beside the straight",
				}
				out = append(out, rule.Lacks(f, "what lies over run "+r.ID+" where it is below grade"))
				break
			}
		}
		for _, c := range v.Answer.Covers(r) {
			out = append(out, coverIn(v, r, c))
		}
		if len(out) == 0 {
			return one(rule.Outside(path, "none of it is buried"))
		}
		return out
	})
}

func coverIn(v rule.View, r *plan.Run, c answer.CoverAnswer) rule.Finding {
	q := r.Pieces[c.Piece]
	f := rule.Finding{Path: rule.RunPath(r) + ", " + c.Where, Span: q.Span, At: []geom.Point{q.A.Plan(), q.B.Plan()}, Required: "the cover of Table 300.5"}
	if !c.OK() {
		return rule.Lacks(f, c.Missing)
	}
	m, ok := raceway.MethodOf(r.Kind, v.Answer.Edition())
	if !ok {
		f.Mend = "use a raceway that may be buried: RMC, IMC, PVC-40 or PVC-80"
		return rule.Lacks(f, fmt.Sprintf("a column of Table 300.5 for %s in the %d edition", r.Kind, v.Answer.Edition()))
	}
	f.Value = c.Value
	f.Mend = "lay it deeper; the cover counts from the TOP of the raceway to finished grade"
	f.Note = "to the top of the raceway; owners' and frost depths are usually more"
	ground := raceway.OpenGround
	switch c.Where {
	case "driveway":
		ground = raceway.UnderStreet
	case "slab":
		least, _, _ := raceway.Cover(raceway.UnderSlab, m, true)
		open, _, _ := raceway.Cover(raceway.OpenGround, m, true)
		g := rule.AtLeast(f, c.Value.SI, float64(open), v.Short)
		if g.Outcome == rule.Holds {
			return g
		}
		if g = rule.AtLeast(f, c.Value.SI, float64(least), v.Short); g.Outcome == rule.Broken {
			return g
		}
		f.Required = fmt.Sprintf("at least %s under a slab of 4 in without vehicles, else up to %s", v.Short(float64(least)), v.Short(float64(open)))
		f.Mend = "say how thick the slab is and whether vehicles stand on it, or lay the run " + v.Short(float64(open)) + " below grade"
		return rule.Lacks(f, "the thickness of the slab over run "+r.ID+", "+v.Short(c.Value.SI)+" of cover")
	}
	least, _, ok := raceway.Cover(ground, m, true)
	if !ok {
		return rule.Lacks(f, "a figure of Table 300.5 for "+string(r.Kind))
	}
	return rule.AtLeast(f, c.Value.SI, float64(least), v.Short)
}

// ribbon looks at every piece of a run that lies deep enough to want a ribbon
// above it, and tells the worst of each location.
func ribbon(v rule.View) []rule.Finding {
	over, _ := raceway.Ribbon()
	return runs(v, func(r *plan.Run) []rule.Finding {
		path := rule.RunPath(r)
		if r.Service != site.Utility1 {
			return one(rule.Outside(path, "it carries no service conductors"))
		}
		var out []rule.Finding
		for _, c := range v.Answer.Covers(r) {
			q, deep := worstRibbon(r, c.Where)
			if !deep {
				out = append(out, rule.Outside(path+", "+c.Where, "less than "+figures.Text("ribbon.depth")+" deep"))
				continue
			}
			f := rule.Finding{Path: path + ", " + c.Where, Span: q.Span, At: []geom.Point{q.A.Plan(), q.B.Plan()}}
			f.Required = "a ribbon in the trench at least " + v.Short(float64(over)) + " above the conductors"
			f.Mend = "put ribbon on the order, lay it as the trench is filled, photograph it with a tape before it is covered, and write \"ribbon: yes\" on the straight"
			switch q.Ribbon {
			case "yes":
				out = append(out, rule.YesNo(f, true, f.Required, "a ribbon"))
			case "no":
				out = append(out, rule.YesNo(f, false, f.Required, "no ribbon"))
			default:
				out = append(out, rule.Lacks(f, "whether a ribbon lies over run "+r.ID))
			}
		}
		if len(out) == 0 {
			return one(rule.Outside(path, "none of it is buried"))
		}
		return out
	})
}

// worstRibbon returns, of the pieces of a run in one location that reach the
// depth that asks for a ribbon, the one of which the least is said: "no" before
// nothing said, before "yes". deep is false where none reaches it; a raceway
// whose outside diameter is not known is taken to.
func worstRibbon(r *plan.Run, where string) (worst plan.Piece, deep bool) {
	rank := map[string]int{"yes": 0, "": 1, "no": 2}
	dim, known := raceway.Dim(r.Kind, r.Trade)
	for _, q := range r.Pieces {
		cover := -min(q.A.Z, q.B.Z) - float64(dim.OD)/2
		if q.Where != where || upright(q) || known && cover < figures.Num("ribbon.depth")-geom.Eps {
			continue
		}
		if !deep || rank[q.Ribbon] > rank[worst.Ribbon] {
			worst, deep = q, true
		}
	}
	return worst, deep
}
