package owner

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"stubup/base/geom"
	"stubup/base/trace"
	"stubup/base/unit"
	"stubup/plan"
	"stubup/rule"
	"stubup/site"
	"stubup/trade/earthtest"
)

func ground() []*rule.Rule {
	return []*rule.Rule{
		of("fence-bond", "how often the fence is bonded", "fence-bond: 25 ft", fenceBond),
		of("margin", "how far under the limit the design is to be", "margin: 10 %", margin),
		of("resistance-limit", "the most that the whole may read", "resistance-limit: 5 ohm", resistance),
		of("ring-clearance", "the least distance of the ring from other things", "ring-clearance: 2 ft", clearance),
		of("ring-depth", "the least depth of the ring", "ring-depth: 36 in", ringDepth),
		of("rod-spacing", "the least distance between rods", "rod-spacing: 16 ft", rodSpacing),
		of("splices", "whether inline splices are allowed", "splices: no", splices),
	}
}

// resistance holds the design value, ring and rods alone, to the owner's
// limit. A margin that a season eats is said.
func resistance(v rule.View, e site.OwnerRule) []rule.Finding {
	f := rule.Finding{Path: "ground", Span: e.Span, At: v.RingAt()}
	f.Required = "at most " + rule.Ohms(float64(e.Ohms.SI))
	if !e.Ohms.Set {
		return one(unread(e, "ground", "write the limit as a resistance, \"5 ohm\""))
	}
	a := v.Answer.Design()
	if !a.OK() {
		return one(rule.Lacks(f, a.Missing))
	}
	f.Value = a.Value
	f.Mend = "longer rods, more rods or radials: the layout ranks them by what an ohm costs"
	f = rule.AtMost(f, a.Value.SI, float64(e.Ohms.SI), rule.Ohms)
	var notes []string
	if m := rule.Margin(a.Value.SI, float64(e.Ohms.SI)); f.Outcome == rule.Holds && m < rule.Season() {
		notes = append(notes, "margin too small for the season")
	}
	if be := v.Answer.BreakEven(e.Ohms.SI); be.OK() {
		notes = append(notes, "breaks even at "+be.Value.Text)
	}
	if a.Value.Standing == trace.Assumed {
		notes = append(notes, "the soil is assumed: have it measured")
	}
	f.Note = strings.Join(notes, "; ")
	return append(one(f), tested(v, e)...)
}

// tested holds every earth test that was taken to the limit. A test whose
// flags withhold its verdict cannot tell, whatever it reads.
func tested(v rule.View, e site.OwnerRule) []rule.Finding {
	var out []rule.Finding
	for _, t := range v.Answer.EarthTests() {
		if len(t.Test.Readings) == 0 {
			continue
		}
		f := rule.Finding{Path: "test " + t.Test.ID, Span: t.Test.Span, At: v.RingAt(), Required: "at most " + rule.Ohms(float64(e.Ohms.SI)), Note: "by the test, not the design"}
		if t.Value.OK() {
			f.Value = t.Value.Value
		}
		switch {
		case t.Missing != "":
			f.Mend = "test again, with what is missing written down"
			out = append(out, rule.Lacks(f, t.Missing))
		case t.Judged.Verdict == earthtest.None:
			why := "a verdict"
			if fs := t.Judged.Flags; len(fs) > 0 {
				why = fs[0].Kind.Words()
				f.Mend = fs[0].Kind.Ask()
			}
			out = append(out, rule.Lacks(f, why))
		default:
			f.Mend = "longer rods, more rods or radials: the layout ranks them by what an ohm costs"
			out = append(out, rule.AtMost(f, t.Value.Value.SI, float64(e.Ohms.SI), rule.Ohms))
		}
	}
	return out
}

// margin holds the design to a share under the resistance limit.
func margin(v rule.View, e site.OwnerRule) []rule.Finding {
	f := rule.Finding{Path: "ground", Span: e.Span, At: v.RingAt()}
	share, ok := shareOf(e)
	if !ok {
		return one(unread(e, "ground", "write the margin as a share, \"10 %\""))
	}
	f.Required = "at least " + rule.Percent(share) + " under the limit"
	var limit unit.Q[unit.Ohm]
	for _, r := range v.OwnerRules("resistance-limit") {
		if r.Ohms.Set && (!limit.Set || r.Ohms.SI < limit.SI) {
			limit = r.Ohms
		}
	}
	if !limit.Set {
		f.Mend = "write \"resistance-limit: 5 ohm\" with its source"
		return one(rule.Lacks(f, "the owner's resistance limit"))
	}
	a := v.Answer.Design()
	if !a.OK() {
		return one(rule.Lacks(f, a.Missing))
	}
	f.Value = a.Value
	f.Mend = "longer rods, more rods or radials"
	// (limit - R) / limit >= share, written so that the limit itself holds.
	f = rule.AtMost(f, a.Value.SI, float64(limit.SI)*(1-share), rule.Ohms)
	f.Required = "at least " + rule.Percent(share) + " under " + limit.Text + ": " + f.Required
	return one(f)
}

// shareOf reads the share of an entry from its number or its words.
func shareOf(e site.OwnerRule) (float64, bool) {
	if e.Number > 0 {
		return e.Number, true
	}
	s, err := unit.Parse(e.Words, unit.Share)
	return s, err == nil && s > 0
}

func ringDepth(v rule.View, e site.OwnerRule) []rule.Finding {
	if !e.Length.Set {
		return one(unread(e, "ground.ring", "write the depth as a length, \"36 in\""))
	}
	f, ok := v.NoRing()
	if !ok {
		f.Span = e.Span
		return one(f)
	}
	f = v.RingFinding()
	f.Mend = "lay the ring deeper"
	return one(rule.AtLeast(f, float64(v.Plan.Ring.Depth), float64(e.Length.SI), v.Short))
}

func rodSpacing(v rule.View, e site.OwnerRule) []rule.Finding {
	switch {
	case !e.Length.Set:
		return one(unread(e, "ground.rods", "write the distance as a length, \"16 ft\""))
	case len(v.Plan.Rods) == 0 && v.Site.Ground.Rods == nil:
		return one(rule.Outside("ground.rods", "no rod is wanted"))
	case len(v.Plan.Rods) == 0:
		f := rule.Finding{Path: "ground.rods", Span: e.Span, Required: "at least " + e.Length.Text}
		return one(rule.Lacks(f, "where the rods stand"))
	}
	return one(rule.ClosestRods(v, float64(e.Length.SI), "move one of them"))
}

// clearance takes the nearest thing that has a place. A located utility is
// left out: the ring may have to cross one, and its band stands apart.
func clearance(v rule.View, e site.OwnerRule) []rule.Finding {
	if !e.Length.Set {
		return one(unread(e, "ground.ring", "write the distance as a length, \"2 ft\""))
	}
	if f, ok := v.NoRing(); !ok {
		return one(f)
	}
	var fs []rule.Finding
	var room []float64
	for i := range v.Site.Objects {
		o := &v.Site.Objects[i]
		switch o.Kind {
		case site.Utility, site.OldRing, site.Trench, site.Bar, site.Service:
			continue
		}
		if o.Existing == site.Removed {
			continue
		}
		f := v.RingFinding()
		f.Path = "ground.ring and " + rule.Words(o)
		f.At = append([]geom.Point{}, o.Outline...)
		f.Mend = "move the ring away from " + rule.Words(o) + ", or ask the owner in writing"
		d := v.RingTo(o)
		if math.IsInf(d, 1) {
			f.Required = "at least " + v.Long(float64(e.Length.SI))
			fs, room = append(fs, rule.Lacks(f, "where "+rule.Words(o)+" stands")), append(room, 0)
			continue
		}
		if math.Abs(d-float64(e.Length.SI)) < geom.Eps {
			d = float64(e.Length.SI) // drawn at the limit, to a hundredth of a millimetre
		}
		fs, room = append(fs, rule.AtLeast(f, d, float64(e.Length.SI), v.Long)), append(room, d)
	}
	if len(fs) == 0 {
		return one(rule.Outside("objects", "there is nothing to keep clear of"))
	}
	return rule.Tightest(fs, room)
}

// splices holds the ring to the owner's word. A ring in one piece still has
// one: where its two ends meet.
func splices(v rule.View, e site.OwnerRule) []rule.Finding {
	if !rule.SaysNo(e.Words) {
		if w := strings.ToLower(strings.TrimSpace(e.Words)); w == "yes" || w == "true" {
			return one(rule.Outside("ground.ring", "the owner allows inline splices"))
		}
		return one(unread(e, "ground.ring", "write \"splices: yes\" or \"no\""))
	}
	if f, ok := v.NoRing(); !ok {
		return one(f)
	}
	f := v.RingFinding()
	f.Required = "no inline splice"
	var ids []string
	closing := ""
	for _, j := range v.Plan.Joints {
		if j.Kind != plan.Splice {
			continue
		}
		ids = append(ids, j.ID)
		f.At = append(f.At, j.At)
		if strings.HasSuffix(j.Key, "ring-closing") {
			closing = j.ID
		}
	}
	switch {
	case len(ids) == 0:
		return one(rule.YesNo(f, true, f.Required, "none"))
	case len(ids) == 1 && closing != "":
		f.Points = ids
		f.Mend = "draft the RFI: a ring in one piece closes on itself by one splice (joint " + closing + "); ask whether the closing splice is allowed, or whether the ends are to meet in a tap"
		return one(rule.Lacks(f, "whether the owner's \"no splices\" means the closing splice, joint "+closing))
	}
	f.Points = ids
	f.Mend = "lay the ring in one piece: the put-up must hold its whole length; ask about the closing splice in an RFI"
	return one(rule.YesNo(f, false, f.Required, fmt.Sprintf("%d inline splices: %s", len(ids), strings.Join(ids, ", "))))
}

var ordinals = map[string]int{"second": 2, "other": 2, "third": 3, "fourth": 4, "fifth": 5, "sixth": 6, "seventh": 7, "eighth": 8, "ninth": 9, "tenth": 10}

// EveryNth reads "every post", "every 5th post", "every fifth line post"; ok is
// false where the words may mean something else, as "a fifth post" does.
func EveryNth(words string) (n int, ok bool) {
	ws := strings.Fields(strings.ToLower(words))
	if len(ws) < 2 || ws[0] != "every" || ws[len(ws)-1] != "post" {
		return 0, false
	}
	ws = ws[1 : len(ws)-1]
	if len(ws) > 0 && ws[len(ws)-1] == "line" {
		ws = ws[:len(ws)-1]
	}
	switch {
	case len(ws) == 0:
		return 1, true
	case len(ws) > 1:
		return 0, false
	case ordinals[ws[0]] > 0:
		return ordinals[ws[0]], true
	}
	digits := strings.TrimRight(ws[0], "stndrh")
	switch ws[0][len(digits):] {
	case "", "st", "nd", "rd", "th":
	default:
		return 0, false
	}
	n, err := strconv.Atoi(digits)
	return n, err == nil && n > 0
}

// fenceBond holds a fence to a number of posts or to a distance. Every n-th
// post is met where no run of unbonded line posts between bonded ones is
// longer than n - 1; a distance is the longest stretch of the fence line from
// one bonded post to the next.
func fenceBond(v rule.View, e site.OwnerRule) []rule.Finding {
	n, nth := EveryNth(e.Words)
	if !nth && !e.Length.Set {
		return one(unread(e, "fence", "ask the owner: one more post, or every so many? Then write \"every 5th post\", \"every post\" or \"25 ft\", with who said it and when"))
	}
	var out []rule.Finding
	for i := range v.Site.Objects {
		o := &v.Site.Objects[i]
		if o.Kind != site.Fence || o.Existing == site.Removed {
			continue
		}
		f := rule.Finding{Path: "objects." + o.ID, Span: o.Span, At: append([]geom.Point{}, o.Outline...)}
		b := rule.BondsOf(v.Plan, o.ID)
		f.Required = e.Words
		if len(b.Posts) == 0 || (nth && !lineKnown(o, b)) {
			f.Mend = "give the fence its corners and the spacing of its posts, or where they stand"
			out = append(out, rule.Lacks(f, "the posts of "+rule.Words(o)))
			continue
		}
		if nth {
			print := func(k float64) string { return unit.Fixed(k, 0) + " unbonded line posts in a row" }
			f = rule.AtMost(f, float64(b.LineRun), float64(n-1), print)
			f.Required = fmt.Sprintf("every %s: %s", postWord(n), f.Required)
			f.Found = "longest run: " + f.Found
			if f.Outcome == rule.Broken {
				f.Points = b.RunIDs
				f.Mend = addWords(v, o, b.AddForRun(n-1))
			}
		} else {
			limit := float64(e.Length.SI)
			f = rule.AtMost(f, float64(b.Gap), limit, v.RunLength)
			f.Found = "longest stretch without a bond: " + f.Found
			if f.Outcome == rule.Broken {
				f.Points = []string{b.Posts[b.GapEnds[0]].ID, b.Posts[b.GapEnds[1]].ID}
				f.Mend = "its posts stand further apart than that: bond the fabric between them, or ask the owner"
				if add, ok := b.AddForGap(e.Length.SI); ok {
					f.Mend = addWords(v, o, add)
				}
			}
		}
		out = append(out, f)
	}
	if len(out) == 0 {
		return one(rule.Outside("objects", "there is no fence"))
	}
	return out
}

// lineKnown reports whether it is known where the line posts stand.
func lineKnown(o *site.Object, b rule.FenceBonds) bool {
	if o.Posts.Spacing.Set || len(o.Posts.Line) > 0 {
		return true
	}
	for _, q := range b.Posts {
		if q.Kind == "line" {
			return true
		}
	}
	return false
}

func postWord(n int) string {
	if n == 1 {
		return "post"
	}
	suffix := "th"
	switch {
	case n%100 >= 11 && n%100 <= 13:
	case n%10 == 1:
		suffix = "st"
	case n%10 == 2:
		suffix = "nd"
	case n%10 == 3:
		suffix = "rd"
	}
	return fmt.Sprintf("%d%s post", n, suffix)
}

// addWords says what bonding more posts takes.
func addWords(v rule.View, o *site.Object, add []plan.Post) string {
	if len(add) == 0 {
		return "bond more posts of " + rule.Words(o)
	}
	var ids []string
	var sum unit.Metre
	for _, q := range add {
		ids = append(ids, q.ID)
		sum += v.WhipTo(q.At)
	}
	k := len(add)
	s := "s"
	if k == 1 {
		s = ""
	}
	return fmt.Sprintf("bond %s: adds %d whip%s (%s), %d tap%s, %d pipe joint%s; write whose demand it is, who said it and when", strings.Join(ids, ", "), k, s, v.RunLength(float64(sum)), k, s, k, s)
}
