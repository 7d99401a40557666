package nfpa70

import (
	"fmt"
	"strings"

	"stubup/base/geom"
	"stubup/rule"
	"stubup/site"
)

func fences() []*rule.Rule {
	return []*rule.Rule{
		of("250.194.fence", "fence", rule.Shall, "a fence round exposed parts over 1000 V is bonded at its corners, gate posts and every 160 ft", "over-1000-v: yes, and no whip to a corner post", fence),
	}
}

// fence is out of place on a fence that encloses nothing over 1000 V: its
// bonds are then the owner's rule or good practice.
func fence(v rule.View) []rule.Finding {
	var out []rule.Finding
	for i := range v.Site.Objects {
		o := &v.Site.Objects[i]
		if o.Kind != site.Fence || o.Existing == site.Removed {
			continue
		}
		f := rule.Finding{Path: "objects." + o.ID, Span: o.Span, At: append([]geom.Point{}, o.Outline...)}
		f.Required = "bonded at every corner and gate post, and at most every " + figures.Text("fence.spacing")
		switch {
		case o.Over1000V == nil:
			f.Mend = "write \"over-1000-v: no\" or \"yes\" into " + o.ID
			out = append(out, rule.Lacks(f, "whether "+rule.Words(o)+" encloses exposed parts over "+figures.Text("fence")))
			continue
		case !*o.Over1000V:
			out = append(out, rule.Outside(f.Path, "it encloses nothing over "+figures.Text("fence")+"; the fence bond is the owner's rule or good practice"))
			continue
		}
		b := rule.BondsOf(v.Plan, o.ID)
		if len(b.Posts) == 0 {
			out = append(out, rule.Lacks(f, "the corners and posts of "+rule.Words(o)))
			continue
		}
		var bare []string
		for k, q := range b.Posts {
			if q.Kind != "line" && !b.Bonded[k] {
				bare = append(bare, q.ID)
			}
		}
		f.Note = "look also at: a buried jumper across every gate opening, both sides of an overhead crossing, barbed strands; an engineer decides step and touch"
		f.Mend = "add whips to the corner and gate posts, and line posts so that no stretch is over " + figures.Text("fence.spacing")
		if len(bare) > 0 {
			f.Points = bare
			out = append(out, rule.YesNo(f, false, f.Required, "no bond at "+strings.Join(bare, ", ")))
			continue
		}
		g := rule.AtMost(f, float64(b.Gap), figures.Num("fence.spacing"), v.RunLength)
		g.Required = f.Required
		if g.Outcome == rule.Broken {
			g.Points = []string{b.Posts[b.GapEnds[0]].ID, b.Posts[b.GapEnds[1]].ID}
			g.Found = "longest stretch without a bond " + g.Found
		} else {
			g.Found = fmt.Sprintf("corners and gate posts bonded, longest stretch %s", g.Found)
		}
		out = append(out, g)
	}
	if len(out) == 0 {
		return one(rule.Outside("objects", "there is no fence"))
	}
	return out
}
