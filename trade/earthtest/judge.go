package earthtest

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"stubup/base/stable"
	"stubup/base/unit"
)

// Answer is a thing that was asked on the site.
type Answer int

// Answers.
const (
	Unasked Answer = iota
	No
	Yes
)

// Trench is its state at the test.
type Trench int

// States.
const (
	TrenchUnknown Trench = iota
	Open
	Backfilled
)

// Moment is a time in hours on one clock that the caller chooses.
type Moment struct {
	Hours float64
	Known bool
}

// At returns a known moment.
func At(hours float64) Moment { return Moment{hours, true} }

// Conditions are those of the test.
type Conditions struct {
	OthersOff    Answer // neutral, tower, pipes, fence: all disconnected
	OthersWords  string // what, and by whose leave
	Trench       Trench
	Wetted       Answer // on purpose
	Frozen       Answer
	FrostDepth   unit.Metre
	FrozenModel  unit.Ohm // predicted with that frost; 0 for none
	ThawedModel  unit.Ohm // predicted without
	FirstReading Moment
	RainEnded    Moment
	RainHours    float64 // asked for after rain; 0 for none
	RainWords    string  // the owner's own
	Calibration  Moment  // when it ends
	Stray        unit.Volt
	StrayMost    unit.Volt // what the meter's book takes; 0 for none
}

// Test is one line of a fall-of-potential test.
type Test struct {
	Lead        Lead
	Stake       unit.Metre // outer stake from the zero
	Diagonal    unit.Metre // largest of the electrode; 0 where unknown
	Readings    []Reading
	Shapes      []Shape  // what is believed of electrode and soil; may be none
	Low, High   unit.Ohm // predicted band; 0: least and most of the shapes
	Limit       unit.Ohm
	LimitSource string
	Conditions  Conditions
	Fit         FitOptions
	Units       unit.System // of the lengths in words
}

// SeemsShare and FarShare are how far outside the predicted band a value is
// asked about: under half of its low end, over twice its high end. No source.
const (
	SeemsShare = 0.5
	FarShare   = 2
)

// biasShown is the predicted error of a rule from which the sign of the risk is
// shown. No source.
const biasShown = 0.02

// Bias is what the model says a rule does here: by what share it reads over the
// truth, over the shapes.
type Bias struct {
	Known           bool
	Mean, Low, High unit.Ratio
}

// Words returns the bias with its sign: "reads 12 % low (9 to 15 % low)".
func (b Bias) Words() string {
	if !b.Known {
		return "what it does here is not known"
	}
	w := "reads " + sideWords(b.Mean)
	if b.High-b.Low > 0.005 {
		w += " (" + sideWords(b.Low) + " to " + sideWords(b.High) + ")"
	}
	return w
}

func sideWords(r unit.Ratio) string {
	p := unit.Trim(math.Abs(100*float64(r)), 1)
	switch {
	case p == "0":
		return "true"
	case r < 0:
		return p + " % low"
	}
	return p + " % high"
}

// Estimate is what one rule says.
type Estimate struct {
	How   How
	Share float64 // place of the inner stake, as a share of the outer's
	Place unit.Metre
	Ohm   unit.Ohm
	Noise unit.Ratio // what the noise of the readings does to it, one standard deviation
	Bias  Bias
	Valid bool
	Why   []Kind // what makes it not valid
}

// Plateau is how flat the curve is about 62 %.
type Plateau struct {
	How    How
	Spread unit.Ratio
	Flat   bool
}

// Verdict is whether the limit is met.
type Verdict int

// Verdicts.
const (
	None Verdict = iota
	Holds
	Broken
)

func (v Verdict) String() string { return [...]string{"none", "holds", "broken"}[v] }

// Result is the judgment of a test. The flags come first, also in print.
type Result struct {
	Flags    []Flag // withholding first
	Verdict  Verdict
	Sixty    Estimate // the 62 % rule
	Slope    Estimate // the slope method
	Mu       float64  // its slope coefficient; NaN where not read
	Plateau  Plateau
	Fit      Fit
	Asked    []Reading    // the owner's recipe, as asked
	Needs    []unit.Metre // places still to read for the slope method
	Earliest Moment       // earliest valid time of a test, where rain asks for one
	Limit    unit.Ohm
	Under    float64 // probability that the fitted value is under the limit; NaN without a fit
	Retest   bool    // a flag opens a retest
	Units    unit.System
}

// Judge returns the judgment of one line.
func Judge(t Test) (Result, error) {
	if err := checkReadings(t.Stake, t.Readings); err != nil {
		return Result{}, err
	}
	if err := checkShapes(t.Shapes); err != nil {
		return Result{}, err
	}
	if t.Limit < 0 || math.IsNaN(float64(t.Limit)) || math.IsInf(float64(t.Limit), 0) {
		return Result{}, &Error{BadOption, -1, "a limit that is no resistance", "give ohms, or nothing"}
	}
	opt, err := t.Fit.filled()
	if err != nil {
		return Result{}, err
	}
	r := Result{Mu: math.NaN(), Under: math.NaN(), Limit: t.Limit, Units: t.Units}
	flag := r.flag

	for _, x := range t.Readings {
		if x.Asked {
			r.Asked = append(r.Asked, x)
		}
	}
	if len(r.Asked) > 0 {
		flag(RecipeKept, "")
	}

	c := newCurve(t.Stake, t.Readings)
	got := rule(c.at)
	noise := ruleNoise(t.Stake, t.Readings, float64(opt.Noise))
	bias, err := Biases(t.Stake, t.Shapes)
	if err != nil {
		return Result{}, err
	}
	place := func(share float64) unit.Metre { return unit.Metre(share) * t.Stake }
	r.Sixty = Estimate{How: got.howSixty, Share: figure("rule.share"), Place: place(figure("rule.share")), Ohm: got.sixty, Noise: noise[0], Bias: bias.Sixty}
	r.Slope = Estimate{How: got.howAll, Share: got.share, Ohm: got.slope, Noise: noise[1], Bias: bias.Slope}
	if !math.IsNaN(got.share) {
		r.Slope.Place = place(got.share)
	}
	r.Mu = got.mu
	r.line(t, c, got)

	if t.Lead.Zero == ZeroUnknown {
		flag(ZeroNotStated, "")
		r.Sixty.Why = append(r.Sixty.Why, ZeroNotStated)
	} else if r.Fit, err = FitCurve(t.Stake, t.Readings, t.Shapes, t.Fit); err != nil {
		return Result{}, err
	}
	r.Sixty.Valid = r.Sixty.How != NotKnown && len(r.Sixty.Why) == 0
	r.Slope.Valid = r.Slope.How != NotKnown && len(r.Slope.Why) == 0
	if r.Fit.Odd {
		flag(ShapeOdd, "")
		// A flat part seen by a lead that needs no model speaks for itself.
		if r.Sixty.Valid && r.Plateau.Flat {
			r.Flags[len(r.Flags)-1].Effect = Warns
		}
	}
	r.risk()
	r.conditions(t.Conditions)
	r.against(t)
	r.decide()
	return r, nil
}

func (r *Result) flag(k Kind, detail string) {
	r.Flags = append(r.Flags, Flag{k, k.Effect(), detail})
	r.Retest = r.Retest || k.Retest()
}

// Has reports whether a flag of the kind stands.
func (r Result) Has(k Kind) bool {
	return slices.ContainsFunc(r.Flags, func(f Flag) bool { return f.Kind == k })
}

// line looks at the line itself: its length, where it starts, how the curve
// runs.
func (r *Result) line(t Test, c *curve, got ruled) {
	asks := unit.Metre(figure("lead.diagonals")) * t.Diagonal
	switch {
	case !(t.Diagonal > 0):
		r.flag(DiagonalUnknown, "")
	case t.Stake < asks:
		r.flag(LeadShort, fmt.Sprintf("%s of %s, five diagonals", r.Units.Run(t.Stake), r.Units.Run(asks)))
	}
	if t.Lead.Zero == AtCorner {
		r.flag(ClippedAtCorner, "")
	}
	r.Plateau.How = got.howSpread
	if got.howSpread != NotKnown {
		r.Plateau.Spread = Spread(got.r52, got.r62, got.r72)
		most := unit.Ratio(figure("plateau.spread"))
		r.Plateau.Flat = r.Plateau.Spread <= most && r.Plateau.Spread >= -most
		if !r.Plateau.Flat {
			r.flag(NoPlateau, fmt.Sprintf("%s %% between 52 and 72 %%, %s %% is flat", unit.Trim(100*float64(r.Plateau.Spread), 0), unit.Trim(100*float64(most), 0)))
			r.Sixty.Why = append(r.Sixty.Why, NoPlateau)
		}
	} else {
		r.flag(PlateauUnknown, "")
		// Without it only a long lead vouches for the rule.
		if !(t.Diagonal > 0) || t.Stake < asks {
			r.Sixty.Why = append(r.Sixty.Why, PlateauUnknown)
		}
	}
	for _, share := range []float64{0.2, 0.4, 0.6} {
		if _, how := c.at(share); how == NotKnown {
			r.Needs = append(r.Needs, unit.Metre(share)*t.Stake)
		}
	}
	least, most := figure("slope.mu.least"), figure("slope.mu.most")
	switch {
	case len(r.Needs) > 0:
		var ws []string
		for _, d := range r.Needs {
			ws = append(ws, r.Units.Run(d))
		}
		r.flag(SlopeUnread, strings.Join(ws, ", "))
	case !(got.mu >= least && got.mu <= most):
		r.flag(SlopeOutside, fmt.Sprintf("%s, printed from %s to %s", unit.Trim(got.mu, 3), unit.Trim(least, 2), unit.Trim(most, 2)))
		r.Slope.Why = append(r.Slope.Why, SlopeOutside)
	case got.howAll == NotKnown:
		r.flag(SlopeUnread, r.Units.Run(unit.Metre(got.share)*t.Stake))
		r.Needs = append(r.Needs, unit.Metre(got.share)*t.Stake)
	}
	for i := 1; i < len(c.r); i++ {
		// Twice the noise of a difference: less is the meter's last digit.
		if c.r[i] < c.r[i-1]*(1-0.05) {
			r.flag(Falls, fmt.Sprintf("from %s at %s to %s at %s", unit.Ohms(unit.Ohm(c.r[i-1])), r.Units.Run(unit.Metre(c.p[i-1])), unit.Ohms(unit.Ohm(c.r[i])), r.Units.Run(unit.Metre(c.p[i]))))
			break
		}
	}
}

// risk shows the sign of what the rules do here.
func (r *Result) risk() {
	low, high := "", ""
	add := func(name string, e Estimate) {
		if !e.Bias.Known {
			return
		}
		w := name + " " + e.Bias.Words()
		switch {
		case e.Bias.Mean < -biasShown:
			low = joinWords(low, w)
		case e.Bias.Mean > biasShown:
			high = joinWords(high, w)
		}
	}
	add("62 % rule", r.Sixty)
	add("slope method", r.Slope)
	if low != "" {
		r.flag(RulesReadLow, low)
	}
	if high != "" {
		r.flag(RulesReadHigh, high)
	}
}

func joinWords(a, b string) string {
	if a == "" {
		return b
	}
	return a + ", " + b
}

// conditions looks at weather, trench, meter and what was connected.
func (r *Result) conditions(c Conditions) {
	switch c.OthersOff {
	case No:
		r.flag(OthersOn, c.OthersWords)
	case Unasked:
		r.flag(OthersUnasked, "")
	}
	switch c.Trench {
	case Open:
		r.flag(TrenchOpen, "")
	case TrenchUnknown:
		r.flag(TrenchUnasked, "")
	}
	if c.Wetted == Yes {
		r.flag(Wetted, "")
	}
	switch c.Frozen {
	case Yes:
		r.flag(Frozen, r.frozenWords(c))
	case Unasked:
		r.flag(FrostUnasked, "")
	}
	if c.RainHours > 0 {
		words := c.RainWords
		if words == "" {
			words = unit.Trim(c.RainHours, 1) + " h after rain"
		}
		switch {
		case !c.RainEnded.Known || !c.FirstReading.Known:
			r.flag(RainUnasked, words)
		default:
			r.Earliest = At(c.RainEnded.Hours + c.RainHours)
			if c.FirstReading.Hours < r.Earliest.Hours {
				since := c.FirstReading.Hours - c.RainEnded.Hours
				if since < 0 {
					r.flag(RainRecent, "it rained during the test or after it began; the spec asks "+words)
					break
				}
				r.flag(RainRecent, fmt.Sprintf("%s h after rain, the spec asks %s; valid in %s h", unit.Trim(since, 1), words, unit.Trim(r.Earliest.Hours-c.FirstReading.Hours, 1)))
			}
		}
	}
	switch {
	case !c.Calibration.Known || !c.FirstReading.Known:
		r.flag(CalibrationUnasked, "")
	case c.Calibration.Hours < c.FirstReading.Hours:
		r.flag(CalibrationExpired, fmt.Sprintf("%s h before", unit.Trim(c.FirstReading.Hours-c.Calibration.Hours, 0)))
	}
	if c.StrayMost > 0 && c.Stray > c.StrayMost {
		r.flag(StrayHigh, fmt.Sprintf("%s V, the meter takes %s V", unit.Trim(float64(c.Stray), 1), unit.Trim(float64(c.StrayMost), 1)))
	}
}

// agreeShare is how near a reading of frozen ground counts as what the model
// with that frost says. No source.
const agreeShare = 0.1

func (r *Result) frozenWords(c Conditions) string {
	w := ""
	if c.FrostDepth > 0 {
		w = "frost to " + r.Units.Run(c.FrostDepth)
	}
	v, ok := r.Best()
	switch {
	case c.FrozenModel > 0 && ok && math.Abs(float64(v/c.FrozenModel-1)) <= agreeShare:
		w = joinWords(w, fmt.Sprintf("reads %s, as the model with that frost does (%s)", unit.Ohms(v), unit.Ohms(c.FrozenModel)))
	case c.FrozenModel > 0 && ok:
		w = joinWords(w, fmt.Sprintf("reads %s where the model with that frost says %s", unit.Ohms(v), unit.Ohms(c.FrozenModel)))
	case c.FrozenModel > 0:
		w = joinWords(w, "the model with that frost says "+unit.Ohms(c.FrozenModel))
	}
	if c.ThawedModel > 0 {
		w = joinWords(w, "predicted thawed "+unit.Ohms(c.ThawedModel))
	}
	return w
}

// Best returns the value that the limit is held against: the fitted one where
// the readings run as a shape does, else a rule's that is valid, the larger of
// two. Nothing else is preferred. Without any it is not known.
func (r Result) Best() (unit.Ohm, bool) {
	switch {
	case r.Fit.Known && !r.Fit.Odd:
		return r.Fit.Median, true
	case r.Sixty.Valid && r.Slope.Valid:
		return max(r.Sixty.Ohm, r.Slope.Ohm), true
	case r.Sixty.Valid:
		return r.Sixty.Ohm, true
	case r.Slope.Valid:
		return r.Slope.Ohm, true
	}
	return 0, false
}

// shown returns any value at all, for the question whether something is wrong.
func (r Result) shown(rs []Reading) (unit.Ohm, bool) {
	if v, ok := r.Best(); ok {
		return v, true
	}
	if r.Sixty.How != NotKnown {
		return r.Sixty.Ohm, true
	}
	if len(rs) > 0 { // the largest reading: if that is far below, all are
		v := rs[0].Ohm
		for _, x := range rs {
			v = max(v, x.Ohm)
		}
		return v, true
	}
	return 0, false
}

// against compares with the prediction and the limit.
func (r *Result) against(t Test) {
	low, high := t.Low, t.High
	if low == 0 && high == 0 {
		for i, s := range t.Shapes {
			if i == 0 || s.Resistance < low {
				low = s.Resistance
			}
			high = max(high, s.Resistance)
		}
	}
	if v, ok := r.shown(t.Readings); ok && low > 0 && t.Conditions.Frozen != Yes {
		switch {
		case v < SeemsShare*low:
			r.flag(SeemsBonded, fmt.Sprintf("%s where %s was predicted; a neighbor of %s would do that", unit.Ohms(v), unit.Ohms(low), unit.Ohms(Neighbor(v, low))))
		case v > FarShare*high:
			r.flag(FarAbove, fmt.Sprintf("%s where %s was predicted", unit.Ohms(v), unit.Ohms(high)))
		}
	}
	best, ok := r.Best()
	if !ok {
		r.flag(NoValue, "")
	}
	if t.Limit == 0 {
		r.flag(NoLimit, "")
		return
	}
	r.Under = r.Fit.Below(t.Limit)
	if !ok {
		return
	}
	for _, e := range []struct {
		name string
		Estimate
	}{{"62 % rule", r.Sixty}, {"slope method", r.Slope}} {
		if !e.Valid || !r.Fit.Known || r.Fit.Odd {
			continue
		}
		// What the model says the rule does here is taken out first: that the two
		// differ by it is no news.
		v := e.Ohm
		if e.Bias.Known {
			v = unit.Ohm(float64(v) / (1 + float64(e.Bias.Mean)))
		}
		if (v <= t.Limit) != (best <= t.Limit) && (v < r.Fit.Low || v > r.Fit.High) {
			r.flag(RulesDisagree, e.name+" "+unit.Ohms(v))
		}
	}
}

// decide sorts the flags and sets the verdict.
func (r *Result) decide() {
	stable.Sort(r.Flags, func(a, b Flag) int {
		return cmp.Or(cmp.Compare(a.Effect, b.Effect), cmp.Compare(a.Kind, b.Kind))
	})
	r.Verdict = None
	if len(r.Flags) > 0 && r.Flags[0].Effect == Withholds {
		return
	}
	best, ok := r.Best()
	switch {
	case !ok || r.Limit == 0:
	case best <= r.Limit:
		r.Verdict = Holds
	default:
		r.Verdict = Broken
	}
}

// Lines returns the whole judgment in words: flags, verdict, then the values
// side by side.
func (r Result) Lines() []string {
	var out []string
	for _, f := range r.Flags {
		out = append(out, f.Effect.String()+": "+f.Text())
	}
	switch r.Verdict {
	case None:
		out = append(out, "no verdict")
	default:
		best, _ := r.Best()
		w := fmt.Sprintf("limit %s %s with %s", unit.Ohms(r.Limit), r.Verdict, unit.Ohms(best))
		if !math.IsNaN(r.Under) {
			w += fmt.Sprintf("; %s %% likely under the limit", unit.Trim(100*r.Under, 0))
		}
		out = append(out, w)
	}
	rule := func(name string, e Estimate, more string) {
		if e.How == NotKnown {
			out = append(out, name+": not read")
			return
		}
		w := fmt.Sprintf("%s: %s at %s (%s)%s", name, unit.Ohms(e.Ohm), r.Units.Run(e.Place), e.How, more)
		if !e.Valid {
			w += ", not valid"
		}
		if e.Bias.Known {
			w += "; the model says it " + e.Bias.Words()
		}
		out = append(out, w)
	}
	rule("62 % rule", r.Sixty, "")
	more := ""
	if !math.IsNaN(r.Mu) {
		more = fmt.Sprintf(", slope %s, %s of the lead, noise %s %%", unit.Trim(r.Mu, 3), unit.Trim(r.Slope.Share, 3), unit.Trim(100*float64(r.Slope.Noise), 0))
	}
	rule("slope method", r.Slope, more)
	if r.Plateau.How != NotKnown {
		out = append(out, fmt.Sprintf("spread between 52 and 72 %%: %s %%", unit.Trim(100*float64(r.Plateau.Spread), 0)))
	}
	if r.Fit.Known {
		out = append(out, fmt.Sprintf("fitted curve: %s, 90 %% between %s and %s", unit.Ohms(r.Fit.Median), unit.Ohms(r.Fit.Low), unit.Ohms(r.Fit.High)))
	} else {
		out = append(out, "fitted curve: none, it needs the electrode as built and its soil")
	}
	for _, a := range r.Asked {
		out = append(out, fmt.Sprintf("as asked: %s at %s", unit.Ohms(a.Ohm), r.Units.Run(a.At)))
	}
	return out
}

// ruleNoise returns what a noise of the readings does to the 62 % value and to
// that of the slope method, one standard deviation, each reading moved by
// itself.
func ruleNoise(stake unit.Metre, rs []Reading, noise float64) [2]unit.Ratio {
	base := rule(newCurve(stake, rs).at)
	var v [2]float64
	for i := range rs {
		moved := slices.Clone(rs)
		moved[i].Ohm *= unit.Ohm(1 + noise)
		m := rule(newCurve(stake, moved).at)
		if base.howSixty != NotKnown && m.howSixty != NotKnown {
			d := float64(m.sixty/base.sixty) - 1
			v[0] += d * d
		}
		if base.howAll != NotKnown && m.howAll != NotKnown {
			d := float64(m.slope/base.slope) - 1
			v[1] += d * d
		}
	}
	return [2]unit.Ratio{unit.Ratio(math.Sqrt(v[0])), unit.Ratio(math.Sqrt(v[1]))}
}

// Together flags lines of one electrode that disagree by more than their bands
// allow. They are never averaged.
func Together(lines ...Result) []Flag {
	var out []Flag
	if len(lines) < 2 {
		return append(out, Flag{OneLineOnly, OneLineOnly.Effect(), ""})
	}
	for i, a := range lines {
		for j := i + 1; j < len(lines); j++ {
			b := lines[j]
			if !a.Fit.Known || !b.Fit.Known {
				continue
			}
			d := math.Log(float64(a.Fit.Median / b.Fit.Median))
			if s := math.Hypot(a.Fit.sigma(), b.Fit.sigma()); math.Abs(d) > 1.96*s {
				out = append(out, Flag{LinesDisagree, LinesDisagree.Effect(), fmt.Sprintf("line %d %s, line %d %s", i+1, unit.Ohms(a.Fit.Median), j+1, unit.Ohms(b.Fit.Median))})
			}
		}
	}
	return out
}

// sigma returns the standard deviation of the logarithm that the band has.
func (f Fit) sigma() float64 { return math.Log(float64(f.High/f.Low)) / (2 * 1.6449) }
