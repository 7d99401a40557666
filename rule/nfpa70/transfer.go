package nfpa70

import (
	"strings"

	"stubup/rule"
	"stubup/site"
	"stubup/trade/feeder"
)

func transfer() []*rule.Rule {
	return []*rule.Rule{
		of("250.30.neutral-bond", "transfer", rule.Shall, "a generator's neutral is bonded to its frame in one place if the switch opens the neutral, and not at all if it does not", "opens-neutral: no, bond-left: bonded", neutralBond),
	}
}

// neutralBond asks first whether the switch opens the neutral; the pole count
// alone never answers that.
func neutralBond(v rule.View) []rule.Finding {
	t := v.Answer.Transfer()
	f := rule.Finding{Path: "transfer"}
	if !t.Asked {
		for i := range v.Site.Objects {
			o := &v.Site.Objects[i]
			if o.Kind == site.Generator && o.Existing != site.Removed {
				f.Span = o.Span
				f.Required = "one neutral bond for each source, in the right place"
				f.Mend = "look at the transfer switch of " + rule.Words(o) + " and write \"transfer: {opens-neutral: yes, or no, system: 120/240 3-wire}\"; the pole count alone does not tell"
				return one(rule.Lacks(f, "does the switch open the neutral?"))
			}
		}
		return one(rule.Outside("transfer", "there is no generator"))
	}
	f.Span = v.Site.Transfer.Span
	f.Required = "separately derived or not is known, and the bond follows from it"
	if len(t.Contradictions) > 0 {
		f.Mend = "look at the switch again and write what it is: one of the two entries is wrong"
		f = rule.Lacks(f, t.Missing)
		f.Found = "contradiction: " + strings.Join(t.Contradictions, "; ")
		return one(f)
	}
	if t.Missing != "" || t.SeparatelyDerived == feeder.CannotTell {
		f.Mend = "look at the switch, with the utility side off and auto-start locked out, and write the answer; the pole count alone does not tell"
		f.Note = t.Why
		what := t.Missing
		if what == "" {
			what = "is the source separately derived?"
		}
		return one(rule.Lacks(f, what))
	}
	f.Note = "separately derived: " + string(t.SeparatelyDerived) + "; " + t.Why
	f.Mend = strings.Join(t.Bonding, "; ")
	want, word := feeder.No, "no neutral-frame bond at the generator: it stays bonded at the service only"
	if t.SeparatelyDerived == feeder.Yes {
		want, word = feeder.Yes, "a system bonding jumper in ONE place, and the GEC from the same place"
	}
	if t.Neutral == feeder.NeutralUnknown { // a system without a neutral
		return one(rule.Outside("transfer", "the system has no neutral: "+t.Why))
	}
	f.Required = word
	switch left := t.Left; {
	case left == feeder.Yes || left == feeder.No:
		found := "left without a bond"
		if left == feeder.Yes {
			found = "left bonded"
		}
		f = rule.YesNo(f, left == want, f.Required, found)
	case t.Found == want:
		found := "found without a bond"
		if want == feeder.Yes {
			found = "found bonded"
		}
		f = rule.YesNo(f, true, f.Required, found)
		f.Note += "; record it as left, with a photo"
	default:
		f = rule.Lacks(f, "the neutral-frame bond at the generator as left")
		if t.Found != "" && t.Found != feeder.CannotTell {
			f.Found += "; as found it is the wrong way round"
		}
	}
	return one(f)
}
