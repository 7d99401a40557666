// Package all is the explicit list of every rule, work by work. It is a leaf:
// the command and the documents import it, the rules do not know it.
package all

import (
	"slices"

	"stubup/rule"
	"stubup/rule/goodpractice"
	"stubup/rule/iec62305"
	"stubup/rule/milhdbk"
	"stubup/rule/nesc"
	"stubup/rule/nfpa70"
	"stubup/rule/nfpa780"
	"stubup/rule/owner"
	"stubup/rule/telecom"
)

// Rules lists every rule, those of one work together.
func Rules() []*rule.Rule {
	return slices.Concat(nfpa70.Rules(), nfpa780.Rules(), nesc.Rules(), iec62305.Rules(), milhdbk.Rules(), telecom.Rules(), goodpractice.Rules(), owner.Rules())
}

// Figures lists the figure table of every work, by the id of the work.
func Figures() map[string]rule.Figures {
	return map[string]rule.Figures{
		rule.NFPA70: nfpa70.Figures(), rule.NFPA780: nfpa780.Figures(), rule.NESC: nesc.Figures(), rule.IEC62305: iec62305.Figures(),
		rule.MilHdbk419A: milhdbk.Figures(), rule.TIA569: telecom.Figures(), rule.GoodPractice: goodpractice.Figures(), rule.Owner: owner.Figures(),
	}
}
