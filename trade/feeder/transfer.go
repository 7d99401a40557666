package feeder

import (
	"fmt"

	"stubup/base/cite"
)

// Neutral says what a transfer switch does to the neutral.
type Neutral string

// The answers to "does the switch open the neutral?".
const (
	NeutralUnknown  Neutral = ""
	NeutralSolid    Neutral = "solid"    // carried through unbroken
	NeutralSwitched Neutral = "switched" // opened with the phases
)

// Answer is yes, no, or cannot tell.
type Answer string

// The answers.
const (
	Yes        Answer = "yes"
	No         Answer = "no"
	CannotTell Answer = "cannot tell"
)

// Transfer is a standby source and its transfer switch.
type Transfer struct {
	System  System
	Neutral Neutral // as somebody looked at the switch; never taken from the poles alone
	Poles   int     // as marked; zero: not told
	// Bonded is the neutral-to-frame bond at the source as found; empty: not told.
	Bonded Answer
	// Portable is a set that is plugged in at an inlet.
	Portable bool
}

// Finding is what a transfer switch makes of its source.
type Finding struct {
	SeparatelyDerived Answer
	Why               string
	// Contradictions are entries that cannot both be true.
	Contradictions []string
	// Bonding says what follows, in words, in working order.
	Bonding []string
	Missing string // the question that is open
	Cite    []cite.Ref
}

var (
	ref30 = cite.Ref{Work: "NFPA 70", Place: "250.30", Seen: cite.FromMemory}
	ref34 = cite.Ref{Work: "NFPA 70", Place: "250.34", Seen: cite.FromMemory}
	refSD = cite.Ref{Work: "NFPA 70", Place: "Article 100, separately derived system", Seen: cite.FromMemory}
)

// Poles returns the poles of a transfer switch for a system with the neutral
// carried through and with it opened; for a system without a neutral both are
// the phases.
func (s System) Poles() (solid, switched int) {
	if s.Neutral {
		return s.Hot, s.Hot + 1
	}
	return s.Hot, s.Hot
}

// Judge says whether the source is separately derived and what bonding
// follows. The question is whether the switch opens the neutral. The pole
// count never answers it; a count that disagrees with the answer is a
// contradiction, and then nothing is concluded. Source: NFPA 70 Article 100
// and 250.30, from memory.
func Judge(t Transfer) Finding {
	f := Finding{SeparatelyDerived: CannotTell, Cite: []cite.Ref{refSD, ref30}}
	if t.System.Name == "" {
		f.Missing = "which voltage system is it?"
		f.Why = "the system is not told"
		return f
	}
	solid, switched := t.System.Poles()
	if t.Poles != 0 && t.Poles != solid && t.Poles != switched {
		f.Contradictions = append(f.Contradictions, fmt.Sprintf("%d poles fit no transfer switch of a %s system (%s)", t.Poles, t.System.Words, polesWords(t.System)))
	}
	if !t.System.Neutral {
		if t.Neutral != NeutralUnknown {
			f.Contradictions = append(f.Contradictions, fmt.Sprintf("the neutral is said to be %s, and a %s system has none", t.Neutral, t.System.Words))
		}
		if len(f.Contradictions) == 0 {
			f.SeparatelyDerived = Yes
			f.Why = "no neutral joins it to the other source; only its grounding and bonding does"
			f.Bonding = []string{
				"EGC with the feeder",
				"frame bonded to the EGC and, by its own electrode or the ring, to earth",
				"no system bonding jumper unless the system is to be corner grounded: then in one place only, with the GEC from the same place",
				"where it stays ungrounded, ground detection is asked for",
			}
		} else {
			f.Why = "the entries contradict each other"
		}
		return f
	}
	switch t.Neutral {
	case NeutralSolid:
		if t.Poles == switched {
			f.Contradictions = append(f.Contradictions, fmt.Sprintf("the neutral is said to be solid, and a %d-pole switch of a %s system opens it", t.Poles, t.System.Words))
		}
	case NeutralSwitched:
		if t.Poles == solid {
			f.Contradictions = append(f.Contradictions, fmt.Sprintf("the neutral is said to be switched, and a %d-pole switch of a %s system has no pole for it", t.Poles, t.System.Words))
		}
	case NeutralUnknown:
	default:
		f.Contradictions = append(f.Contradictions, fmt.Sprintf("%q is no answer to: does the switch open the neutral?", t.Neutral))
	}
	if len(f.Contradictions) > 0 {
		f.Why = "the entries contradict each other"
		f.Missing = "does the switch open the neutral?"
		return f
	}
	switch t.Neutral {
	case NeutralSolid:
		f.SeparatelyDerived = No
		f.Why = "the switch carries the neutral through, so the source stays joined to the neutral of the service"
		f.Bonding = []string{
			"EGC with the feeder",
			"the bond between neutral and frame at the generator removed; the bond at the service is the only one",
			"a tie from the frame to the ring only where the owner's rule asks for it",
		}
		switch t.Bonded {
		case Yes:
			f.Bonding = append(f.Bonding, "the generator was found bonded: open that bond, with a photo as found and as left")
		case "", CannotTell:
			f.Bonding = append(f.Bonding, "look at the bond in the generator: many come bonded; photo as found and as left")
		}
		if t.Portable {
			f.Bonding = append(f.Bonding, "a portable set with a bonded frame may trip its protective outlets through a solid neutral: the maker's leave is needed before its bond is opened")
			f.Cite = append(f.Cite, ref34)
		}
	case NeutralSwitched:
		f.SeparatelyDerived = Yes
		f.Why = "the switch opens the neutral, so only grounding and bonding join the source to the service"
		f.Bonding = []string{
			"system bonding jumper between neutral and frame in ONE place, at the generator or at its first disconnect",
			"GEC from that same place to the electrode system",
			"EGC or supply-side bonding jumper with the feeder",
		}
		switch t.Bonded {
		case No:
			f.Bonding = append(f.Bonding, "the generator was found without a bond: set the jumper in the place chosen, with a photo as found and as left")
		case "", CannotTell:
			f.Bonding = append(f.Bonding, "look at the bond in the generator: there must be one and only one; photo as found and as left")
		}
		if t.Portable {
			f.Cite = append(f.Cite, ref34)
		}
	default:
		f.Missing = "does the switch open the neutral?"
		f.Why = "nobody has said whether the switch opens the neutral"
		switch t.Poles {
		case solid:
			f.Why += fmt.Sprintf("; %d poles suggest that it does not, look and say", t.Poles)
		case switched:
			f.Why += fmt.Sprintf("; %d poles suggest that it does, look and say", t.Poles)
		}
	}
	return f
}

func polesWords(s System) string {
	a, b := s.Poles()
	if a == b {
		return fmt.Sprintf("%d poles", a)
	}
	return fmt.Sprintf("%d poles solid, %d switched", a, b)
}

// Together says whether sources that feed one system agree: on one neutral a
// site has either all its standby sources separately derived or none, because
// a solid source beside a switched one leaves the neutral bonded in two places
// or in none. It returns what disagrees, and whether anything is unknown.
func Together(all []Finding) (disagree, unknown bool) {
	seen := Answer("")
	for _, f := range all {
		switch {
		case f.SeparatelyDerived == CannotTell:
			unknown = true
		case seen == "":
			seen = f.SeparatelyDerived
		case seen != f.SeparatelyDerived:
			disagree = true
		}
	}
	return disagree, unknown
}
