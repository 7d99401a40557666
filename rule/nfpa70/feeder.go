package nfpa70

import (
	"stubup/base/unit"
	"stubup/rule"
	"stubup/site"
	"stubup/trade/feeder"
)

func feeders() []*rule.Rule {
	return []*rule.Rule{
		of("215.2.drop", "drop", rule.Should, "a feeder drops no more than 3 % of its voltage", "100 A over 400 ft of 3 AWG at 240 V", drop),
		of("215.2.conductor", "conductor", rule.Shall, "the feeder's conductors carry its load where they lie", "100 A, all of it continuous, on 3 AWG copper", carries),
		of("240.4.ocpd", "ocpd", rule.Shall, "the overcurrent device protects the feeder's conductors", "3 AWG copper on 150 A", ocpd),
		of("250.66.gec", "gec", rule.Shall, "a grounding electrode conductor is no smaller than 250.66 asks", "gec: 8 AWG on a 3/0 AWG service", gec),
		of("250.122.egc", "egc", rule.Shall, "an equipment grounding conductor is no smaller than 250.122 asks", "egc: 8 AWG on 200 A", egc),
	}
}

func feederFinding(f *site.Feeder) rule.Finding {
	return rule.Finding{Path: "feeder " + f.ID, Span: f.Span}
}

func eachFeeder(v rule.View, look func(*site.Feeder) rule.Finding) []rule.Finding {
	var out []rule.Finding
	for i := range v.Site.Feeders {
		out = append(out, look(&v.Site.Feeders[i]))
	}
	if len(out) == 0 {
		return one(rule.Outside("feeders", "there is no feeder"))
	}
	return out
}

func drop(v rule.View) []rule.Finding {
	return eachFeeder(v, func(s *site.Feeder) rule.Finding {
		f := feederFinding(s)
		limit, _, _ := feeder.Advice()
		a := v.Answer.Drop(s)
		if !a.OK() {
			f.Required = "at most " + rule.Percent(float64(limit))
			return rule.Lacks(f, a.Missing)
		}
		f.Value = a.Value
		f.Mend = "use a larger conductor, and grow the EGC with it; this is advice, not a demand"
		f.Note = "an informational note of the code: advice"
		return rule.AtMost(f, a.Value.SI, float64(limit), rule.Percent)
	})
}

// carries holds a feeder's conductors to the least that its load asks. Where
// only the terminals' marking decides, and nobody looked, it cannot tell.
func carries(v rule.View) []rule.Finding {
	return eachFeeder(v, func(s *site.Feeder) rule.Finding {
		f := feederFinding(s)
		f.Required = "conductors that carry the load"
		if s.Size == 0 {
			return rule.Lacks(f, "the conductor size of feeder "+s.ID)
		}
		a := v.Answer.FeederSize(s)
		if !a.OK() {
			return rule.Lacks(f, a.Missing)
		}
		f.Value, f.Note = a.Value, "decided by "+a.Why
		if s.Size < a.Needed && a.Marked != 0 && s.Size >= a.Marked {
			f.Required = "at least " + a.Needed.String() + ", or " + a.Marked.String() + " where both ends are marked for 75 C"
			f.Mend = "look at both ends, and write \"terminals: 75 C\" where they are marked so"
			return rule.Lacks(f, "the marking of the terminals of feeder "+s.ID)
		}
		return size(f, s.Size, a.Needed)
	})
}

func amps(a float64) string { return unit.Trim(a, 0) + " A" }

func ocpd(v rule.View) []rule.Finding {
	return eachFeeder(v, func(s *site.Feeder) rule.Finding {
		f := feederFinding(s)
		f.Required = "a device that the conductors' ampacity allows"
		if !s.OCPD.Set {
			return rule.Lacks(f, "the rating of the overcurrent device of feeder "+s.ID)
		}
		a := v.Answer.OCPD(s)
		if !a.OK() {
			return rule.Lacks(f, a.Missing)
		}
		f.Value = a.Value
		f.Mend = "use a smaller device or a larger conductor"
		if s.Terminals == 0 {
			f.Note = "at 75 C terminals: both ends must be marked for it"
		}
		return rule.AtMost(f, float64(s.OCPD.SI), a.Value.SI, amps)
	})
}

// size judges a conductor size against the least one.
func size(f rule.Finding, have, least unit.Wire) rule.Finding {
	f.Mend = "use " + least.String() + " or larger"
	f = rule.YesNo(f, have >= least, "at least "+least.String(), have.String())
	return f
}

func egc(v rule.View) []rule.Finding {
	return eachFeeder(v, func(s *site.Feeder) rule.Finding {
		f := feederFinding(s)
		f.Required = "the EGC of 250.122"
		if r := v.Answer.FeederRun(s); s.EGC == 0 && r != nil && r.Kind.Metal() && !r.Kind.Flexible() {
			return rule.Outside(f.Path, "no wire-type EGC is written; the metal raceway may be the EGC under 250.118, its joints and fittings being made up for that")
		}
		a := v.Answer.EGC(s)
		if !a.OK() {
			return rule.Lacks(f, a.Missing)
		}
		f.Value = a.Value
		if s.EGC == 0 {
			f.Required = "at least " + a.Size.String()
			return rule.Lacks(f, "the EGC of feeder "+s.ID)
		}
		f.Note = a.Note
		return size(f, s.EGC, a.Size)
	})
}

// gec looks at what leaves a feeder as a GEC and at the tails to the service:
// those are GECs too.
func gec(v rule.View) []rule.Finding {
	var out []rule.Finding
	for i := range v.Site.Feeders {
		s := &v.Site.Feeders[i]
		f := feederFinding(s)
		if s.GEC == 0 {
			if v.Answer.Transfer().SeparatelyDerived == feeder.Yes {
				a := v.Answer.GEC(s)
				f.Required = "the GEC of 250.66"
				if a.OK() {
					f.Required = "at least " + a.Size.String()
				}
				f.Mend = "write its size, or leave it where the feeder does not come from the generator"
				out = append(out, rule.Lacks(f, "whether a GEC leaves the source of feeder "+s.ID))
				continue
			}
			out = append(out, rule.Outside(f.Path, "no GEC is written to leave its source"))
			continue
		}
		a := v.Answer.GEC(s)
		if !a.OK() {
			f.Required = "the GEC of 250.66"
			out = append(out, rule.Lacks(f, a.Missing))
			continue
		}
		f.Value, f.Note = a.Value, a.Note
		out = append(out, size(f, s.GEC, a.Size))
	}
	for i := range v.Plan.Whips {
		w := &v.Plan.Whips[i]
		o := v.Object(w.Object)
		if o == nil || o.Kind != site.Service {
			continue
		}
		f := rule.Finding{Path: "whip " + w.ID, Span: w.Span, Points: []string{w.ID}}
		f.Note = "the tail to the service is a GEC; its only tie is to the ring, so it need not be larger than the ring conductor"
		f.Required = "the GEC of 250.66"
		ring := v.Plan.Wire()
		if !w.Wire.Set() || !ring.Set() {
			out = append(out, rule.Lacks(f, "the conductor of the tail to the service and of the ring"))
			continue
		}
		// As large as the ring conductor is enough whatever the service is.
		if w.Wire.Size >= ring.Size && ring.Size >= figures.Wire("ring.size") {
			out = append(out, size(f, w.Wire.Size, ring.Size))
			continue
		}
		var fed *site.Feeder
		for k := range v.Site.Feeders {
			if r := v.Answer.FeederRun(&v.Site.Feeders[k]); r != nil && r.Service == site.Utility1 {
				fed = &v.Site.Feeders[k]
			}
		}
		if fed == nil {
			f.Mend = "write the service conductors as a feeder through the service run, or use a tail as large as the ring conductor"
			out = append(out, rule.Lacks(f, "the size of the service conductors"))
			continue
		}
		a := v.Answer.GEC(fed)
		if !a.OK() {
			out = append(out, rule.Lacks(f, a.Missing))
			continue
		}
		f.Value = a.Value
		out = append(out, size(f, w.Wire.Size, a.Size))
	}
	if len(out) == 0 {
		return one(rule.Outside("feeders", "there is no feeder and no tail to a service"))
	}
	return out
}
