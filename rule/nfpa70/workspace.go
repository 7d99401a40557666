package nfpa70

import (
	"math"

	"stubup/rule"
)

func workspaces() []*rule.Rule {
	return []*rule.Rule{
		of("110.26.depth", "workspace", rule.Shall, "the working space in front of live parts is clear", "a panel that faces a fence 2 ft away", workspace),
	}
}

// workspace holds what is drawn in front of equipment to the depth that must be
// clear. What is not drawn it cannot see.
func workspace(v rule.View) []rule.Finding {
	var out []rule.Finding
	for i := range v.Site.Objects {
		o := &v.Site.Objects[i]
		if o.Work == nil {
			continue
		}
		f := rule.Finding{Path: "objects." + o.ID, Span: o.Work.Span, At: o.Outline, Required: "the depth of Table 110.26(A)(1), clear"}
		a := v.Answer.WorkSpaceOf(o)
		if !a.OK() {
			out = append(out, rule.Lacks(f, a.Missing))
			continue
		}
		f.Value = a.Value
		f.Note = "as wide as " + v.Long(float64(a.Width)) + " and as high as " + v.Long(float64(a.Need.Height)) + ", door opening 90 degrees; only what is drawn was seen"
		if math.IsInf(float64(a.Clear), 1) {
			out = append(out, rule.YesNo(f, true, "at least "+a.Value.Text+" clear", "nothing is drawn across"))
			continue
		}
		f.Mend = "move it, turn it, or move " + a.Across
		f = rule.AtLeast(f, float64(a.Clear), a.Value.SI, v.Long)
		f.Found += " to " + a.Across
		out = append(out, f)
	}
	if len(out) == 0 {
		return one(rule.Outside("objects", "no equipment says that it has live parts to work on"))
	}
	return out
}
