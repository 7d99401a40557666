package rule_test

import (
	"math"
	"strings"
	"testing"

	"stubup/base/cite"
	"stubup/base/geom"
	"stubup/base/trace"
	"stubup/base/unit"
	"stubup/plan"
	"stubup/rule"
	"stubup/site"

	"pgregory.net/rapid"
)

func inches(m float64) string { return unit.Inches(unit.Metre(m)) }

func TestAtLeast(t *testing.T) {
	in := float64(unit.Inch)
	for _, c := range []struct {
		value, limit  float64
		want          rule.Outcome
		found, margin string
	}{
		{30 * in, 30 * in, rule.Holds, "30 in", "holds with no margin"},
		{36 * in, 30 * in, rule.Holds, "36 in", "holds by 20 %"},
		{24 * in, 30 * in, rule.Broken, "24 in", "6 in short, 20 % of the limit"},
		// A hair under prints the limit by rounding, and must not.
		{29.999 * in, 30 * in, rule.Broken, "just under 30 in", "0 in short, 1 % of the limit"},
	} {
		f := rule.AtLeast(rule.Finding{}, c.value, c.limit, inches)
		if f.Outcome != c.want || f.Found != c.found || f.Margin != c.margin || f.Required != "at least "+inches(c.limit) {
			t.Errorf("%g of %g: %+v", c.value, c.limit, f)
		}
	}
}

func TestAtMost(t *testing.T) {
	for _, c := range []struct {
		value, limit  float64
		want          rule.Outcome
		found, margin string
	}{
		{4.68, 5, rule.Holds, "4.68 ohm", "holds by 6 %"}, // 6.4 %
		{4.55, 5, rule.Holds, "4.55 ohm", "holds by 9 %"}, // 9.0 %
		{4.5001, 5, rule.Holds, "4.50 ohm", "holds by 9 %"},
		{4.5, 5, rule.Holds, "4.50 ohm", "holds by 10 %"},
		{5, 5, rule.Holds, "5.00 ohm", "holds with no margin"},
		{5.001, 5, rule.Broken, "just over 5.00 ohm", "1.00 mohm over, 1 % of the limit"},
		{7, 5, rule.Broken, "7.00 ohm", "2.00 ohm over, 40 % of the limit"},
	} {
		f := rule.AtMost(rule.Finding{}, c.value, c.limit, rule.Ohms)
		if f.Outcome != c.want || f.Found != c.found || f.Margin != c.margin {
			t.Errorf("%g of %g: %+v", c.value, c.limit, f)
		}
	}
	if m := rule.Margin(4.68, 5); math.Abs(m-0.064) > 1e-12 {
		t.Errorf("margin %g", m)
	}
}

// TestMarginNeverRoundedUp: whatever the numbers, the printed share is never
// better than the true one, and never more than one point worse.
func TestMarginNeverRoundedUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		limit := rapid.Float64Range(0.01, 1000).Draw(t, "limit")
		share := rapid.Float64Range(0, 0.99).Draw(t, "share")
		f := rule.AtMost(rule.Finding{}, limit*(1-share), limit, rule.Ohms)
		if f.Outcome != rule.Holds {
			t.Fatalf("%+v", f)
		}
		p := 0.0
		if s, ok := strings.CutPrefix(f.Margin, "holds by "); ok {
			for _, r := range strings.TrimSuffix(s, " %") {
				p = p*10 + float64(r-'0')
			}
		}
		if p > share*100+1e-4 || p < share*100-1-1e-4 {
			t.Fatalf("%g printed as %q", share, f.Margin)
		}
	})
}

func yes(id, work string, out ...rule.Finding) *rule.Rule {
	return &rule.Rule{ID: id, Work: work, Title: "a title", Cite: cite.Ref{Work: "W", Edition: "2011-2023", Place: "1"}, Look: func(rule.View) []rule.Finding { return out }}
}

func emptyView() rule.View {
	s := &site.Site{Governs: site.Governs{Work: rule.NFPA70}}
	return rule.View{Site: s, Plan: &plan.Plan{Site: s}}
}

func TestRunOrders(t *testing.T) {
	v := emptyView()
	rs := []*rule.Rule{
		yes("b.two", rule.NFPA70, rule.Finding{Outcome: rule.Holds, Path: "rod R10"}, rule.Finding{Outcome: rule.Holds, Path: "rod R9"}, rule.Finding{Outcome: rule.Broken, Path: "x"}),
		yes("a.one", rule.NFPA70, rule.Finding{Outcome: rule.NotApply, Path: "x", Note: "n"}, rule.Finding{Outcome: rule.CannotTell, Path: "x"}, rule.Finding{Outcome: rule.Broken, Path: "x"}),
		yes("c.three", rule.NFPA780, rule.Finding{Outcome: rule.Broken, Path: "x"}),
	}
	var got []string
	for _, f := range rule.Run(v, rs) {
		got = append(got, f.Outcome.String()+" "+f.Rule.ID+" "+f.Path)
		if (f.Outcome == rule.Broken || f.Outcome == rule.CannotTell) && (f.Mend == "" || f.Required == "") {
			t.Errorf("%s has no mend or nothing required", f.Rule.ID)
		}
		if f.Cite.IsZero() {
			t.Errorf("%s has no citation", f.Rule.ID)
		}
	}
	want := "broken a.one x|broken b.two x|cannot tell a.one x|holds b.two rod R9|holds b.two rod R10|does not apply a.one x"
	if s := strings.Join(got, "|"); s != want {
		t.Errorf("%s", s)
	}
	if c := rule.Count(rule.Run(v, rs)); c.Broken != 2 || c.CannotTell != 1 || c.Holds != 2 || c.NotApply != 1 {
		t.Errorf("%+v", c)
	}
	if s := rule.Skipped(v, rs); len(s) != 1 || s[0].Work != rule.NFPA780 || s[0].Rules != 1 {
		t.Errorf("%+v", s)
	}
}

func TestRunMergesWhereItDoesNotApply(t *testing.T) {
	r := yes("a.one", rule.NFPA70, rule.Outside("run a", "not metal"), rule.Outside("run b", "not metal"), rule.Outside("run c", "no bend"))
	fs := rule.Run(emptyView(), []*rule.Rule{r})
	if len(fs) != 2 || fs[0].Path != "run a; run b" && fs[1].Path != "run a; run b" {
		t.Errorf("%+v", fs)
	}
}

// TestMemoryTravels: a finding whose value leans on a figure from memory says
// so even where the rule itself was read.
func TestMemoryTravels(t *testing.T) {
	in := trace.Input("a", "a", 1, "m", "1 m", trace.Entered, cite.Ref{Work: "T", Place: "4", Seen: cite.FromMemory})
	val := trace.Derive("b", "b", 1, "m", "1 m", trace.By{Cite: cite.Ref{Work: "geometry", Seen: cite.Derived}}, in)
	r := yes("a.one", rule.NFPA70, rule.Finding{Outcome: rule.Holds, Value: val})
	if fs := rule.Run(emptyView(), []*rule.Rule{r}); !strings.Contains(fs[0].Note, "from memory") {
		t.Errorf("%+v", fs[0])
	}
}

// square is a fence of 40 x 40 ft with a post every 10 ft, corners bonded.
func square(bonded ...string) *plan.Plan {
	p := &plan.Plan{}
	ft := float64(unit.Foot)
	add := func(key, kind string, x, y float64) {
		p.Posts = append(p.Posts, plan.Post{Key: "f/" + key, ID: "post " + key, Kind: kind, Fence: "f", At: geom.Point{X: x * ft, Y: y * ft}})
	}
	corners := [][2]float64{{0, 0}, {40, 0}, {40, 40}, {0, 40}}
	for i, c := range corners {
		d := corners[(i+1)%4]
		add("c"+string(rune('1'+i)), "corner", c[0], c[1])
		for k := 1.0; k < 4; k++ {
			add("l"+string(rune('1'+i))+string(rune('0'+int(k))), "line", c[0]+(d[0]-c[0])*k/4, c[1]+(d[1]-c[1])*k/4)
		}
	}
	for _, k := range bonded {
		p.Whips = append(p.Whips, plan.Whip{Key: "whip/f/" + k})
	}
	return p
}

func TestBondsOf(t *testing.T) {
	ft := unit.Foot
	b := rule.BondsOf(square("c1", "c2", "c3", "c4"), "f")
	if b.LineRun != 3 || math.Abs(float64(b.Gap/ft)-40) > 1e-9 || len(b.Posts) != 16 {
		t.Errorf("%d %g", b.LineRun, float64(b.Gap/ft))
	}
	// One bond: the stretch is the whole way round, 160 ft, and the run is of
	// the twelve line posts, unbonded corners not being line posts.
	b = rule.BondsOf(square("c1"), "f")
	if b.LineRun != 12 || math.Abs(float64(b.Gap/ft)-160) > 1e-9 {
		t.Errorf("%d %g", b.LineRun, float64(b.Gap/ft))
	}
	b = rule.BondsOf(square(), "f")
	if b.LineRun != 12 || math.Abs(float64(b.Gap/ft)-160) > 1e-9 {
		t.Errorf("none: %d %g", b.LineRun, float64(b.Gap/ft))
	}
	if n := len(rule.BondsOf(square("c1"), "other").Posts); n != 0 {
		t.Errorf("%d posts of no fence", n)
	}
}

// TestAddForGapIsLeast: against every subset of the line posts of one side
// pair, no smaller set meets the limit.
func TestAddForGapIsLeast(t *testing.T) {
	var line []string
	p := square()
	for _, q := range p.Posts {
		if q.Kind == "line" {
			line = append(line, strings.TrimPrefix(q.Key, "f/"))
		}
	}
	for _, limit := range []float64{10, 15, 20, 25, 30, 40, 80} {
		base := []string{"c1", "c3"}
		b := rule.BondsOf(square(base...), "f")
		add, ok := b.AddForGap(unit.Metre(limit) * unit.Foot)
		// The slow twin: all subsets of the twelve line posts and two corners.
		all := append([]string{"c2", "c4"}, line...)
		best := -1
		for m := range 1 << len(all) {
			set := append([]string{}, base...)
			for i, k := range all {
				if m>>i&1 == 1 {
					set = append(set, k)
				}
			}
			if n := len(set) - 2; best >= 0 && n >= best {
				continue
			}
			if g := rule.BondsOf(square(set...), "f").Gap; float64(g/unit.Foot) <= limit+1e-9 {
				best = len(set) - 2
			}
		}
		if !ok || len(add) != best {
			t.Errorf("%g ft: adds %d, least is %d", limit, len(add), best)
		}
	}
	if _, ok := rule.BondsOf(square("c1"), "f").AddForGap(9 * unit.Foot); ok {
		t.Error("posts 10 ft apart cannot be bonded every 9 ft")
	}
}

func TestFiguresPanic(t *testing.T) {
	f := rule.FiguresOf("# work: W\n# edition: 1\n# place: \n# seen: memory\n# status: s\n# check: c\n# unit: u\nkey,value,unit,place,seen,note\na,30,in,1.2,yes,\nb,5/8,in,1.3,memory,n\nc,12,%,1.4,derived,\n")
	if f.Len("a") != 30*unit.Inch || math.Abs(f.Num("b")-0.625*0.0254) > 1e-15 || f.Num("c") != 0.12 {
		t.Error("values")
	}
	if f.Cite("a").Seen != cite.Read || f.Cite("b").Seen != cite.FromMemory || f.Cite("c").Seen != cite.Derived || f.Cite("b").Place != "1.3" {
		t.Error("citations")
	}
	if f.Text("b") != "5/8 in" {
		t.Error(f.Text("b"))
	}
	defer func() {
		if recover() == nil {
			t.Error("a missing figure is a programmer's error")
		}
	}()
	f.Num("z")
}
