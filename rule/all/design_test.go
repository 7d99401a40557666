package all_test

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"stubup/answer"
	"stubup/rule"
	"stubup/rule/all"
)

// compoundA is the reference compound as the examples carry it.
func compoundA(t *testing.T) string {
	t.Helper()
	b, err := os.ReadFile("../../examples/compound-a.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func find(t *testing.T, fs []rule.Finding, id, path string) rule.Finding {
	t.Helper()
	f := decides(fs, id, path)
	if f == nil {
		t.Fatalf("no finding of %s at %q", id, path)
	}
	return *f
}

func says(t *testing.T, what, text string, words ...string) {
	t.Helper()
	for _, w := range words {
		if !strings.Contains(text, w) {
			t.Errorf("%s %q does not say %q", what, text, w)
		}
	}
}

// TestResistanceMargin: the reference compound in 100 ohm-m is 4.68 ohm by two
// programs of their own (tolerance 2 %), so against 5 ohm it passes by 6 % and
// breaks even at 106.9 ohm-m (the same tolerance).
func TestResistanceMargin(t *testing.T) {
	v := view(t, compoundA(t), nil)
	f := find(t, rule.Run(v, all.Rules()), "owner.resistance-limit", "")
	r := f.Value.SI
	if math.Abs(r-4.68)/4.68 > 0.02 {
		t.Errorf("%g ohm, not 4.68 within 2 %%", r)
	}
	if f.Outcome != rule.Holds || f.Margin != "holds by 6 %" {
		t.Errorf("%s, %q", f.Outcome, f.Margin)
	}
	says(t, "note", f.Note, "margin too small for the season", "breaks even at")
	be := v.Answer.BreakEven(5)
	if math.Abs(be.Value.SI-106.9)/106.9 > 0.02 {
		t.Errorf("breaks even at %g ohm-m, not 106.9 within 2 %%", be.Value.SI)
	}
	says(t, "cite", f.Cite.String(), "owner's standard, section 3.1")

	// R is proportional to resistivity. At half of it R is halved; against 10
	// ohm the margin is 1 - r/20 and it breaks even at 50 x 10 / (r/2).
	twin := change(compoundA(t), "resistivity: 100 ohm-m", "resistivity: 50 ohm-m", "resistance-limit: 5 ohm", "resistance-limit: 10 ohm")
	v = view(t, twin, nil)
	f = find(t, rule.Run(v, all.Rules()), "owner.resistance-limit", "")
	if want := fmt.Sprintf("holds by %d %%", int(math.Floor((1-r/20)*100))); f.Margin != want {
		t.Errorf("margin %q, not %q", f.Margin, want)
	}
	if strings.Contains(f.Note, "season") {
		t.Errorf("a margin of three quarters is not too small: %q", f.Note)
	}
	if be := v.Answer.BreakEven(10).Value.SI; math.Abs(be/(1000/r)-1) > 1e-6 {
		t.Errorf("breaks even at %g, not %g", be, 1000/r)
	}
	// A limit just under the value fails, and its margin is not rounded up.
	v = view(t, change(compoundA(t), "resistance-limit: 5 ohm", "resistance-limit: 4 ohm"), nil)
	f = find(t, rule.Run(v, all.Rules()), "owner.resistance-limit", "")
	if want := fmt.Sprintf("%d %% of the limit", int(math.Ceil((r/4-1)*100))); f.Outcome != rule.Broken || !strings.Contains(f.Margin, want) {
		t.Errorf("%s, %q, want %q", f.Outcome, f.Margin, want)
	}
}

// TestFifthPost: on the reference compound every fifth post is met, the
// longest run of unbonded line posts being 3; 25 ft at most adds 3 whips of
// 18 ft in all; every post adds 8.
func TestFifthPost(t *testing.T) {
	for _, c := range []struct {
		ask  string
		want rule.Outcome
		says []string
	}{
		{"every 5th post", rule.Holds, []string{"longest run: 3"}},
		{"every 3rd post", rule.Broken, []string{"longest run: 3", "at most 2", "adds 2 whips"}},
		{"25 ft", rule.Broken, []string{"longest stretch without a bond: 40.0 ft", "adds 3 whips (18.0 ft), 3 taps, 3 pipe joints"}},
		{"every post", rule.Broken, []string{"adds 8 whips (48.0 ft), 8 taps, 8 pipe joints"}},
	} {
		f := find(t, rule.Run(view(t, change(compoundA(t), "fence-bond: every 5th post", "fence-bond: "+c.ask), nil), all.Rules()), "owner.fence-bond", "fence")
		if f.Outcome != c.want {
			t.Errorf("%s: %s, %s", c.ask, f.Outcome, f.Found)
		}
		says(t, c.ask, f.Required+f.Found+f.Mend, c.says...)
	}
	// A fence of 60 x 20 ft without a gate, line posts every 10 ft: five on a
	// long side and one on a short one, twelve in all. Corners bonded, the
	// longest run is 5 and the longest stretch 60 ft. Every fifth post then
	// wants one more on each long side; 25 ft reaches 20 ft at most, so two on
	// each: posts at 20 and 40 ft. A whip there is 2 + 2.5 + 1.5 = 6 ft.
	doc := change(yard, "[[0, 0], [40, 0], [40, 30], [0, 30]]", "[[0, 0], [60, 0], [60, 20], [0, 20]]",
		"    gates:\n      - from: [0, 21]\n        to: [0, 9]\n        leaves: 2\n", "", "    - to: fence gate posts\n      end: pipe\n", "", "      - [20, 28]\n", "      - [20, 18]\n",
		"    lugs: [[20, 22]]", "    lugs: [[20, 12]]", "  jumpers:\n    - gates of: fence\n", "")
	for ask, words := range map[string][]string{
		"every 5th post": {"longest run: 5", "adds 2 whips (12.0 ft)"},
		"25 ft":          {"60.0 ft", "adds 4 whips (24.0 ft), 4 taps, 4 pipe joints"},
		"every post":     {"longest run: 5", "adds 12 whips (72.0 ft)"},
	} {
		f := find(t, rule.Run(view(t, doc+owner("fence-bond: "+ask), nil), all.Rules()), "owner.fence-bond", "fence")
		if f.Outcome != rule.Broken {
			t.Errorf("%s: %s", ask, f.Outcome)
		}
		says(t, ask, f.Found+f.Mend, words...)
	}
	f := find(t, rule.Run(view(t, doc+owner("fence-bond: 60 ft"), nil), all.Rules()), "owner.fence-bond", "fence")
	if f.Outcome != rule.Holds {
		t.Errorf("60 ft: %s, %s", f.Outcome, f.Found)
	}
}

// bends is a fiber run with a 90, an offset, a kick and a 90.
func bends(first, offset, kick, last string) string {
	sweep := "        radius: 36 in\n        made: sweep\n"
	return straight("20 ft") + "      - bend: " + first + " left\n" + sweep + straight("20 ft") +
		"      - offset: 24 in right\n        angle: " + offset + "\n" + sweep + straight("20 ft") +
		"      - bend: " + kick + " left\n" + sweep + straight("20 ft") + "      - bend: " + last + " right\n" + sweep + straight("20 ft")
}

// TestBendSum: 90 + offset 30/30 + kick 15 + 90 = 255. The code's 360 holds,
// the owner's 180 does not.
func TestBendSum(t *testing.T) {
	doc := fiber(bends("90", "30 deg", "15", "90")) + owner("bend-sum: 180 deg\nservice: fiber")
	v := view(t, doc, nil)
	fs := rule.Run(v, all.Rules())
	code := find(t, fs, "nfpa70.300.bend-sum", "run one")
	own := find(t, fs, "owner.bend-sum", "run one")
	if code.Outcome != rule.Holds || code.Found != "255 deg" || code.Margin != "holds by 29 %" { // 105/360 = 29.2 %
		t.Errorf("code: %s, %s, %s", code.Outcome, code.Found, code.Margin)
	}
	if own.Outcome != rule.Broken || own.Found != "255 deg" || own.Margin != "75 deg over, 42 % of the limit" { // 75/180 = 41.7 %
		t.Errorf("owner: %s, %s, %s", own.Outcome, own.Found, own.Margin)
	}
	says(t, "trace", own.Value.By.Put, "sum = 90 + 30 + 30 + 15 + 90")
	// e^(0.2 pi/2) = 1.369, and over 255 degrees e^(0.2 x 4.4506) = 2.435.
	says(t, "note", own.Note, "each 90 is x 1.4 in tension at friction 0.2", "x 2.44")
	if k := answer.BendFactor(0.2, 90); math.Abs(k-1.3691) > 5e-5 {
		t.Errorf("a 90 costs x %g, not 1.3691 (e^0.314159)", k)
	}
	// Of the three straights between bends the two that leave least on their
	// worse side: 150 | 105 in the middle and 90 | 165 after the first.
	if n := strings.Count(own.Mend, "in a straight"); n != 2 {
		t.Errorf("%d places: %s", n, own.Mend)
	}
	says(t, "mend", own.Mend, "90 deg before, 165 deg after", "150 deg before, 105 deg after", "no radius for a cable")
	if strings.Contains(own.Mend, "still over") {
		t.Errorf("both places mend it: %s", own.Mend)
	}
	// The owner who bans conduit bodies on fiber is quoted, and a power run
	// under the same profile may have one.
	ban := doc + "    - conduit-bodies: no\n      service: fiber\n      source: owner's standard, section 7\n"
	own = find(t, rule.Run(view(t, ban, nil), all.Rules()), "owner.bend-sum", "run one")
	says(t, "mend", own.Mend, "no conduit body: owner's standard, section 7 bans it")
	pw := change(change(ban, "service: fiber\n    raceway", "service: power\n    raceway", "bend-sum: 180 deg\n      service: fiber", "bend-sum: 180 deg"), "straight: 20 ft\n        in: trench\n      - bend: 90 left", "straight: 20 ft\n        in: trench\n      - body: LB\n        turns: left\n      - straight: 20 ft\n        in: trench\n      - bend: 90 left")
	fs = rule.Run(view(t, pw, nil), all.Rules())
	own = find(t, fs, "owner.bend-sum", "run one")
	says(t, "mend", own.Mend, "or a conduit body in place of a 90")
	if f := find(t, fs, "owner.conduit-bodies", ""); f.Outcome != rule.NotApply {
		t.Errorf("the ban is on fiber: %s at %s", f.Outcome, f.Path)
	}

	// 60 + offset 45/45 + kick 30 + 90 = 270: 90 under the code's 360 is a
	// quarter, 70 over an owner's 200 is 35 %. Between bends: 60 | 210 still
	// fails, 150 | 120 and 180 | 90 hold. Least on the worse side: 150, then 180.
	doc = fiber(bends("60", "45 deg", "30", "90")) + owner("bend-sum: 200 deg")
	fs = rule.Run(view(t, doc, nil), all.Rules())
	code, own = find(t, fs, "nfpa70.300.bend-sum", "run one"), find(t, fs, "owner.bend-sum", "run one")
	if code.Margin != "holds by 25 %" || own.Margin != "70 deg over, 35 % of the limit" {
		t.Errorf("%q and %q", code.Margin, own.Margin)
	}
	says(t, "mend", own.Mend, "150 deg before, 120 deg after", "180 deg before, 90 deg after")
	if strings.Contains(own.Mend, "210") {
		t.Errorf("it offers a place that does not mend it: %s", own.Mend)
	}
}

// TestEntryMoves: the old run is 135 degrees, the new one 225: code holds, the
// owner's 180 does not; a handhole in the 38 ft straight makes 135 | 90 of it,
// one at the turn 45 | 90.
func TestEntryMoves(t *testing.T) {
	sweep := "        radius: 36 in\n        made: sweep\n"
	own := owner("bend-sum: 180 deg\nservice: fiber")
	for _, c := range []struct {
		name, path string
		sums       []string
		want       rule.Outcome
	}{
		{"old", straight("80 ft") + "      - bend: 45 left\n" + sweep + straight("60 ft") + "      - bend: 90 up\n" + sweep + straight("4 ft"), []string{"135 deg"}, rule.Holds},
		{"new", straight("70 ft") + "      - bend: 45 left\n" + sweep + straight("55 ft") + "      - bend: 90 right\n" + sweep + straight("38 ft") + "      - bend: 90 up\n" + sweep + straight("4 ft"), []string{"225 deg"}, rule.Broken},
		{"handhole in the straight", straight("70 ft") + "      - bend: 45 left\n" + sweep + straight("55 ft") + "      - bend: 90 right\n" + sweep + straight("19 ft") + "      - handhole: {size: [36 in, 24 in, 24 in]}\n" + straight("19 ft") + "      - bend: 90 up\n" + sweep + straight("4 ft"), []string{"135 deg", "90 deg"}, rule.Holds},
		{"handhole at the turn", straight("70 ft") + "      - bend: 45 left\n" + sweep + straight("58 ft") + "      - handhole: {size: [36 in, 24 in, 24 in]}\n        turns: right\n" + straight("41 ft") + "      - bend: 90 up\n" + sweep + straight("4 ft"), []string{"45 deg", "90 deg"}, rule.Holds},
	} {
		fs := rule.Run(view(t, fiber(c.path)+own, nil), all.Rules())
		if f := find(t, fs, "nfpa70.300.bend-sum", "run one"); f.Outcome != rule.Holds {
			t.Errorf("%s: the code is %s", c.name, f.Outcome)
		}
		if f := find(t, fs, "owner.bend-sum", "run one"); f.Outcome != c.want {
			t.Errorf("%s: the owner's rule is %s", c.name, f.Outcome)
		}
		for _, s := range c.sums {
			seen := false
			for _, f := range fs {
				seen = seen || f.Rule.ID == "owner.bend-sum" && f.Found == s
			}
			if !seen {
				t.Errorf("%s: no section of %s", c.name, s)
			}
		}
	}
}

// TestGenerator asks whether the switch opens the neutral, never how many
// poles it has. Poles: 120/240 three-wire 2 solid and 3 switched, 208Y/120 3
// solid and 4 switched.
func TestGenerator(t *testing.T) {
	for _, c := range []struct {
		name, entries string
		want          rule.Outcome
		says          []string
	}{
		{"120/240, 2 poles, solid", "opens-neutral: no\n  system: 120/240 3-wire\n  poles: 2\n  bond-found: bonded\n  bond-left: removed", rule.Holds, []string{"separately derived: no", "no neutral-frame bond at the generator"}},
		{"120/240, 3 poles, switched", "opens-neutral: yes\n  system: 120/240 3-wire\n  poles: 3\n  bond-left: bonded at the generator", rule.Holds, []string{"separately derived: yes", "ONE place", "GEC from the same place"}},
		{"208Y/120, 3 poles, solid, still bonded", "opens-neutral: no\n  system: 208Y/120\n  poles: 3\n  bond-left: bonded", rule.Broken, []string{"separately derived: no", "left bonded"}},
		{"208Y/120, 4 poles, switched, no bond", "opens-neutral: yes\n  system: 208Y/120\n  poles: 4\n  bond-left: removed", rule.Broken, []string{"separately derived: yes", "left without a bond"}},
		{"480Y/277, 4 poles, switched", "opens-neutral: yes\n  system: 480Y/277\n  poles: 4\n  bond-left: system bonding jumper in place", rule.Holds, []string{"separately derived: yes"}},
		{"contradiction", "opens-neutral: no\n  system: 120/240 3-wire\n  poles: 2", rule.CannotTell, []string{"contradiction", "3-pole"}},
		{"another contradiction", "opens-neutral: yes\n  system: 208Y/120\n  poles: 4", rule.CannotTell, []string{"contradiction"}},
		{"unknown", "opens-neutral: unknown\n  system: 208Y/120\n  poles: 4", rule.CannotTell, []string{"does the switch open the neutral?"}},
		{"poles alone", "system: 120/240 3-wire\n  poles: 2", rule.CannotTell, []string{"does the switch open the neutral?", "the pole count alone does not tell"}},
		{"bond not looked at", "opens-neutral: no\n  system: 208Y/120", rule.CannotTell, []string{"bond at the generator as left"}},
		{"found the wrong way round", "opens-neutral: no\n  system: 208Y/120\n  bond-found: bonded", rule.CannotTell, []string{"wrong way round", "photo"}},
		{"found right", "opens-neutral: no\n  system: 208Y/120\n  bond-found: not bonded", rule.Holds, []string{"record it as left, with a photo"}},
		{"portable, solid", "opens-neutral: no\n  system: 120/240 3-wire\n  portable: yes\n  bond-left: not removed", rule.Broken, []string{"portable set"}},
	} {
		var edit func(*rule.View)
		if strings.Contains(c.name, "contradiction") {
			// The document has a diag of its own for it, and the rule must
			// not conclude anything either.
			edit = func(v *rule.View) { v.Site.Transfer.Poles = 3 }
		}
		f := find(t, rule.Run(view(t, head+"transfer:\n  "+c.entries+"\n", edit), all.Rules()), "nfpa70.250.30.neutral-bond", "transfer")
		if f.Outcome != c.want {
			t.Errorf("%s: %s, found %q", c.name, f.Outcome, f.Found)
		}
		says(t, c.name, f.Required+f.Found+f.Note+f.Mend, c.says...)
	}
	// A generator without a word on its switch.
	doc := head + "objects:\n  set:\n    kind: generator\n    corners: [[0, 0], [4, 0], [4, 4], [0, 4]]\n"
	f := find(t, rule.Run(view(t, doc, nil), all.Rules()), "nfpa70.250.30.neutral-bond", "transfer")
	if f.Outcome != rule.CannotTell {
		t.Errorf("%s", f.Outcome)
	}
}

// TestWhoGoverns: without it every code rule cannot tell, by name.
func TestWhoGoverns(t *testing.T) {
	doc := change(compoundA(t), "governs:\n  work: nfpa-70\n", "")
	v := view(t, doc, nil)
	n := 0
	for _, f := range rule.Run(v, all.Rules()) {
		if f.Rule.Work != rule.NFPA70 && f.Rule.Work != rule.NESC {
			continue
		}
		n++
		if f.Outcome != rule.CannotTell || f.Note != "cannot tell which works apply" || !strings.Contains(f.Mend, "governs") {
			t.Errorf("%s: %s, %q", f.Rule.ID, f.Outcome, f.Note)
		}
	}
	want := 0
	for _, r := range all.Rules() {
		if r.Work == rule.NFPA70 || r.Work == rule.NESC {
			want++
		}
	}
	if n != want {
		t.Errorf("%d findings of code rules, want one for each of %d", n, want)
	}
	// Ground under the utility's own rules: no rule of NFPA 70 speaks, and the
	// list says so.
	v = view(t, change(compoundA(t), "work: nfpa-70", "work: nesc"), nil)
	for _, f := range rule.Run(v, all.Rules()) {
		if f.Rule.Work == rule.NFPA70 {
			t.Fatalf("%s speaks where nesc governs", f.Rule.ID)
		}
	}
	skipped := rule.Skipped(v, all.Rules())
	if len(skipped) == 0 || skipped[0].Work != rule.NFPA70 || skipped[0].Why != "nesc governs here" {
		t.Errorf("%+v", skipped)
	}
}

// TestBoundary: inside the utility's ground the code does not apply.
func TestBoundary(t *testing.T) {
	all36 := "work: nfpa-70\n  boundary: [[-5, -5], [50, -5], [50, 40], [-5, 40]]"
	shallow := change(yard, "depth: 30 in", "depth: 24 in")
	f := find(t, rule.Run(view(t, change(shallow, "work: nfpa-70", all36), nil), all.Rules()), "nfpa70.250.53.ring-depth", "ground.ring")
	if f.Outcome != rule.NotApply {
		t.Errorf("wholly inside: %s", f.Outcome)
	}
	half := "work: nfpa-70\n  boundary: [[-5, -5], [20, -5], [20, 40], [-5, 40]]"
	f = find(t, rule.Run(view(t, change(shallow, "work: nfpa-70", half), nil), all.Rules()), "nfpa70.250.53.ring-depth", "ground.ring")
	if f.Outcome != rule.Broken || !strings.Contains(f.Note, "both sides of the boundary") {
		t.Errorf("across: %s, %q", f.Outcome, f.Note)
	}
	away := "work: nfpa-70\n  boundary: [[100, 100], [120, 100], [120, 120], [100, 120]]"
	f = find(t, rule.Run(view(t, change(shallow, "work: nfpa-70", away), nil), all.Rules()), "nfpa70.250.53.ring-depth", "ground.ring")
	if f.Outcome != rule.Broken || f.Note != "" {
		t.Errorf("away: %s, %q", f.Outcome, f.Note)
	}
}

// TestWaiver: it is shown beside the finding and hides nothing.
func TestWaiver(t *testing.T) {
	doc := change(yard, "depth: 30 in", "depth: 24 in") + "waivers:\n  - rule: nfpa70.250.53.ring-depth\n    who: the inspector\n    why: rock at 26 in\n    authority: the AHJ, in writing\n"
	fs := rule.Run(view(t, doc, nil), all.Rules())
	f := find(t, fs, "nfpa70.250.53.ring-depth", "")
	if f.Outcome != rule.Broken || f.Waived == nil || f.Waived.Who != "the inspector" {
		t.Errorf("%s, %+v", f.Outcome, f.Waived)
	}
	n := rule.Count(fs)
	if n.Waived != 1 || n.Shall < 1 || n.Broken < n.Shall {
		t.Errorf("%+v", n)
	}
}

// TestNotAdopted: a work that the site has not adopted has no line.
func TestNotAdopted(t *testing.T) {
	v := view(t, change(yard, "  - nfpa-780 2023\n  - tia-569 D\n", ""), nil)
	for _, f := range rule.Run(v, all.Rules()) {
		if f.Rule.Work == rule.NFPA780 || f.Rule.Work == rule.TIA569 {
			t.Errorf("%s speaks", f.Rule.ID)
		}
	}
	var works []string
	for _, s := range rule.Skipped(v, all.Rules()) {
		works = append(works, s.Work)
	}
	if got := strings.Join(works, " "); got != "nfpa-780 nesc tia-569" {
		t.Errorf("skipped: %s", got)
	}
}

// TestEditionIsSaid: a site that adopts an edition the figures are not of is
// told so.
func TestEditionIsSaid(t *testing.T) {
	f := find(t, rule.Run(view(t, change(yard, "nfpa-70 2023", "nfpa-70 2008"), nil), all.Rules()), "nfpa70.250.53.ring-depth", "")
	says(t, "note", f.Note, "2011-2023", "2008")
}

// A bend of the one-shot radius cannot be told without the bender; with the
// person's own shoe it holds (3/4 in: 4-1/2 in one shot, 5 in otherwise; NFPA 70
// Chapter 9 Table 2).
func TestBendOnOwnBender(t *testing.T) {
	doc := change(power(bend("90 left", "4.6 in")+straight("2 ft")), "PVC-40 2 in", "EMT 3/4 in", powerCarries, "      - 3 x 12 THWN-2\n")
	own := doc + "benders:\n  - {name: hand bender, raceway: EMT 3/4 in, radius: 4.6 in, take-up: 6 in}\n"
	for text, want := range map[string]rule.Outcome{doc: rule.CannotTell, own: rule.Holds} {
		seen := false
		for _, f := range rule.Run(view(t, text, nil), all.Rules()) {
			if f.Rule.ID != "nfpa70.300.bend-radius" {
				continue
			}
			if seen = true; f.Outcome != want {
				t.Errorf("%v, want %v: %s %s", f.Outcome, want, f.Required, f.Found)
			}
		}
		if !seen {
			t.Error("the rule did not look")
		}
	}
}
