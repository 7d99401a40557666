package nfpa70

import (
	"fmt"

	"stubup/base/geom"
	"stubup/rule"
	"stubup/site"
)

func electrodes() []*rule.Rule {
	return []*rule.Rule{
		of("250.50.bonded", "electrodes", rule.Shall, "all electrodes present are bonded together", "an existing ring, seen today, that no whip ties to", bonded),
		of("250.64.splice", "splice", rule.Shall, "a grounding electrode conductor is joined by irreversible means or exothermic weld", "a clamp on the ring below grade", splice),
	}
}

// bonded looks at the existing rings: each that is in service is tied to this
// one.
func bonded(v rule.View) []rule.Finding {
	var out []rule.Finding
	for i := range v.Site.Objects {
		o := &v.Site.Objects[i]
		if o.Kind != site.OldRing {
			continue
		}
		f := rule.Finding{Path: "objects." + o.ID, Span: o.Span, Required: "bonded to the rest of the electrode system"}
		f.At = append(append([]geom.Point{}, o.Outline...), o.Taps...)
		switch o.Existing {
		case site.Abandoned, site.Removed:
			out = append(out, rule.Outside(f.Path, rule.Words(o)+" is "+string(o.Existing)))
			continue
		}
		n := 0
		for _, w := range v.Plan.Whips {
			if w.Object == o.ID {
				n++
				f.Points = append(f.Points, w.ID)
			}
		}
		switch {
		case n > 0:
			f = rule.YesNo(f, true, f.Required, fmt.Sprintf("%d ties to %s", n, rule.Words(o)))
			if o.Existing == site.ToldOnly {
				f.Note = "told only: uncover it and look before the joint is ordered"
			}
		case o.Existing == site.ToldOnly:
			f.Mend = "uncover " + rule.Words(o) + ", look whether it is in service, and tie it to the ring if it is; never join it before current in it and voltage across the gap were measured"
			f = rule.Lacks(f, "whether "+rule.Words(o)+" is there: nobody has seen it")
		default:
			f.Mend = "add a whip to its taps: \"to: " + o.ID + " taps\"; never join it before current in it and voltage across the gap were measured"
			f = rule.YesNo(f, false, f.Required, "no tie to "+rule.Words(o))
		}
		out = append(out, f)
	}
	if len(out) == 0 {
		return one(rule.Outside("objects", "no other electrode is drawn"))
	}
	return out
}

// splice looks at every joint of the buried conductor. A lug or clamp above
// grade, on a bar or on equipment, is a connection and no splice.
func splice(v rule.View) []rule.Finding {
	if f, ok := v.NoRing(); !ok {
		return one(f)
	}
	var out []rule.Finding
	n := 0
	req := "irreversible compression or exothermic weld"
	for _, j := range v.Plan.Joints {
		if j.Z >= 0 {
			continue
		}
		n++
		if !j.Kind.Welded() {
			f := rule.Finding{Path: "joint " + j.ID, Points: []string{j.ID}, At: []geom.Point{j.At}, Mend: "weld it, or bring the connection up to a bar where it can be seen"}
			out = append(out, rule.YesNo(f, false, req, j.Kind.Words()+" below grade"))
		}
	}
	if len(out) > 0 {
		return out
	}
	f := v.RingFinding()
	if n == 0 {
		f.Mend = "mend what keeps the joints from being drawn; a diag says what it is"
		return one(rule.Lacks(f, "how the buried conductor is joined"))
	}
	return one(rule.YesNo(f, true, req, fmt.Sprintf("all %d buried joints are welded", n)))
}
