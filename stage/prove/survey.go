package prove

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"stubup/base/draw"
	"stubup/base/sheet"
	"stubup/base/unit"
	"stubup/rule"
	"stubup/trade/soil"
)

// Survey is the four-pin survey of a site with the layers that explain it.
type Survey struct {
	Said    []string      // the most urgent first
	Drawing *draw.Drawing // nil where nothing can be drawn
	Tables  []sheet.Table // what is drawn, in figures; the layers
}

// SurveyOf returns the readings of the site, the curve of the layers fitted to
// them with its band, and what the fit says of itself. It is worked out when
// it is asked for: a first result does not wait for it.
func SurveyOf(v rule.View) Survey {
	ps := v.Answer.Survey()
	if len(ps) == 0 {
		return Survey{Said: []string{toSurvey(v)}}
	}
	f, err := v.Answer.SurveyFit()
	s := Survey{}
	if err != nil {
		s.Said = append(s.Said, "Cannot tell: "+plainFault(v, err)+".")
		s.Tables = append(s.Tables, readTable(v, nil, nil, nil))
		return s
	}
	set := func(at []unit.Metre) []soil.Setting {
		var out []soil.Setting
		for _, a := range at {
			out = append(out, soil.WennerSetting(a))
		}
		return out
	}
	var at []unit.Metre
	for _, r := range v.Site.Soil.Readings {
		at = append(at, r.Spacing.SI)
	}
	curve := func(at []unit.Metre) (mid []unit.OhmMetre, band []soil.Interval) {
		if mid, err = f.Reading(set(at)); err == nil {
			band, err = f.Reach(ps, set(at))
		}
		return mid, band
	}
	mid, band := curve(at)
	if err != nil {
		s.Said = append(s.Said, "Cannot tell: "+plainFault(v, err)+".")
		s.Tables = append(s.Tables, readTable(v, nil, nil, nil))
		return s
	}
	s.Said = surveySaid(v, f, band)
	s.Tables = append(s.Tables, readTable(v, &f, mid, band), layerTable(v, f))
	lo, hi := slices.Min(at), slices.Max(at)
	const steps = 40
	var along []unit.Metre
	for i := range steps + 1 {
		along = append(along, unit.Metre(float64(lo)/1.3*math.Pow(float64(hi/lo)*1.69, float64(i)/steps)))
	}
	m, b := curve(along)
	if err == nil {
		s.Drawing = surveySheet(v, f, along, m, b)
	}
	return s
}

// plainFault says what is wrong with the readings.
func plainFault(v rule.View, err error) string {
	var e *soil.Error
	if errors.As(err, &e) {
		return inUnits(v.Site.Units, strings.TrimPrefix(e.What, "soil: ")) + "; " + e.Mend
	}
	return strings.TrimPrefix(err.Error(), "soil: ")
}

// toSurvey says what to measure where nobody has: spacings from about half a
// rod to the diagonal of the ring, each twice the one before (common practice,
// no source).
func toSurvey(v rule.View) string {
	u := v.Site.Units
	step, name, first := unit.Foot, "ft", 5.0
	if u == unit.SI {
		step, name, first = 1, "m", 1.5
	}
	want := 20 * unit.Foot
	if r := v.Plan.Ring; r != nil {
		for i, a := range r.Corners {
			for _, b := range r.Corners[:i] {
				want = max(want, unit.Metre(a.Dist(b)))
			}
		}
	}
	var words []string
	for a := first; ; a *= 2 {
		words = append(words, unit.Trim(a, 1))
		if unit.Metre(a)*step >= want*(1-1e-9) || len(words) > 7 {
			break
		}
	}
	last := len(words) - 1
	w := fmt.Sprintf("No readings of a survey stand here. Read four pins in line at %s and %s %s between pins, on two lines that cross", strings.Join(words[:last], ", "), words[last], name)
	if v.Plan.Ring != nil {
		w += ": the widest no less than the ring's diagonal, " + u.Run(want)
	}
	return w + "."
}

func surveySaid(v rule.View, f soil.Fitted, band []soil.Interval) []string {
	u := v.Site.Units
	var out []string
	var words []string
	z := unit.Metre(0)
	for i, l := range f.Model {
		w := ohmMetres(float64(l.Resistivity))
		if i+1 < len(f.Model) {
			z += l.Thickness
			w += " down to " + u.Run(z)
		}
		words = append(words, w)
	}
	layers := "1 layer"
	if n := len(f.Model); n > 1 {
		layers = fmt.Sprintf("%d layers", n)
	}
	out = append(out, fmt.Sprintf("%s: %s; the readings lie %s %% off the curve.", layers, strings.Join(words, ", then "), unit.Figures(100*float64(f.Misfit), 2)))
	for _, x := range f.Flagged {
		r := v.Site.Soil.Readings[x.Index]
		out = append(out, fmt.Sprintf("Reading %d at %s is set aside: %s read, %s by the others. Read it again.", x.Index+1, r.Spacing.Text, ohmMetres(float64(x.Read)), ohmMetres(float64(x.Expected))))
	}
	g := v.Answer.SoilModel()
	switch {
	case len(v.Site.Soil.Layers) > 0:
		w := "The resistance is worked out in the layers as they stand in the document, not in these."
		if g.OK() {
			n := 0
			for i, r := range v.Site.Soil.Readings {
				if a, err := g.Model.WennerFast(r.Spacing.SI); err == nil && (float64(a) < band[i].Low || float64(a) > band[i].High) {
					n++
				}
			}
			if n > 0 {
				w += fmt.Sprintf(" They lie outside the band at %d of %d readings: see which is right.", n, len(band))
			} else {
				w += " They lie within the band at every reading."
			}
		}
		out = append(out, w)
	case !g.OK():
		out = append(out, "Not used for the resistance. Cannot tell "+inUnits(u, g.Missing)+".")
	case g.Fit == nil:
		out = append(out, "The readings agree: the resistance is worked out in "+g.Value.Text+".")
	default:
		out = append(out, "The resistance is worked out in these layers.")
	}
	if len(f.Tried) > 1 {
		var tried []string
		for _, t := range f.Tried {
			tried = append(tried, fmt.Sprintf("%d %s %%", t.Layers, unit.Figures(100*float64(t.Misfit), 2)))
		}
		out = append(out, "So far off lie the readings by the number of layers: "+strings.Join(tried, ", ")+". The fewest that they bear are taken.")
	}
	for _, d := range f.Doubts {
		out = append(out, "Doubt: "+inUnits(u, d)+".")
	}
	return out
}

func ohmMetres(x float64) string { return unit.Figures(x, 3) + " ohm-m" }

// inUnits says the lengths in a sentence of the fit, which are in metres, in
// the units of the site.
func inUnits(u unit.System, s string) string {
	if u == unit.SI {
		return s
	}
	words := strings.Split(s, " ")
	var out []string
	for i := 0; i < len(words); i++ {
		end := ""
		if i+1 < len(words) {
			end = strings.TrimPrefix(words[i+1], "m")
		}
		x, err := strconv.ParseFloat(words[i], 64)
		if err != nil || i+1 == len(words) || words[i+1] != "m"+end || strings.Trim(end, ",;.:)") != "" {
			out = append(out, words[i])
			continue
		}
		out = append(out, unit.Figures(unit.Metre(x).Ft(), 3)+" ft"+end)
		i++
	}
	return strings.Join(out, " ")
}

// readTable is the drawing in figures: what was read, what the curve has
// there, and its band.
func readTable(v rule.View, f *soil.Fitted, mid []unit.OhmMetre, band []soil.Interval) sheet.Table {
	t := sheet.Table{
		ID: "survey.readings", Title: "Readings and the curve",
		Columns: []sheet.Column{
			{Head: "No.", Align: sheet.Right, Width: 0.06},
			{Head: "Line", Width: 0.1},
			{Head: "Spacing", Align: sheet.Right, Width: 0.12},
			{Head: "Read", Align: sheet.Right, Width: 0.12},
			{Head: "Apparent", Align: sheet.Right, Width: 0.14},
			{Head: "Curve", Align: sheet.Right, Width: 0.14},
			{Head: "90 % band of the curve", Align: sheet.Right, Width: 0.16},
			{Head: "Said of it", Width: 0.16},
		},
	}
	ps := v.Answer.Survey()
	for i, r := range v.Site.Soil.Readings {
		row := sheet.Row{sheet.N(float64(i+1), fmt.Sprint(i+1)), sheet.T(r.Line), sheet.T(r.Spacing.Text), sheet.T(r.Ohms.Text), sheet.T(""), sheet.T(""), sheet.T(""), sheet.T("")}
		if a := float64(ps[i].Apparent); a > 0 {
			row[4] = sheet.N(a, ohmMetres(a))
		}
		if f != nil {
			row[5] = sheet.N(float64(mid[i]), ohmMetres(float64(mid[i])))
			row[6] = sheet.T(unit.Figures(band[i].Low, 3) + " to " + ohmMetres(band[i].High))
			off := float64(ps[i].Apparent)/float64(mid[i]) - 1
			row[7] = sheet.T(fmt.Sprintf("%s %% off", unit.Fixed(100*off, 0)))
			if slices.ContainsFunc(f.Flagged, func(x soil.Flag) bool { return x.Index == i }) {
				row[7] = sheet.Cell{Text: "set aside: read it again", Mark: sheet.Broken}
			}
		}
		t.Rows = append(t.Rows, row)
	}
	t.Notes = append(t.Notes, "Apparent resistivity is 2 pi a R of equally spaced pins (IEEE Std 81, equally spaced four-pin method, from memory).")
	if f != nil {
		t.Notes = append(t.Notes, fmt.Sprintf("The band is of the site's curve: nine in ten surveys like this hold it. A single reading scatters by %s %% about it besides, and lines by %s %%.", unit.Trim(100*float64(f.Noise), 1), unit.Trim(100*math.Max(float64(soil.LateralNoise), float64(f.Lateral)), 1)))
	}
	return t
}

func layerTable(v rule.View, f soil.Fitted) sheet.Table {
	u := v.Site.Units
	t := sheet.Table{
		ID: "survey.layers", Title: "Layers by the readings",
		Columns: []sheet.Column{
			{Head: "Layer", Align: sheet.Right, Width: 0.08},
			{Head: "Resistivity", Align: sheet.Right, Width: 0.15},
			{Head: "90 % interval", Align: sheet.Right, Width: 0.2},
			{Head: "Down to", Align: sheet.Right, Width: 0.13},
			{Head: "90 % interval", Align: sheet.Right, Width: 0.2},
			{Head: "Said of it", Width: 0.24},
		},
	}
	span := func(x soil.Interval, say func(float64) string, tail string) sheet.Cell {
		switch {
		case x.LowOpen && x.HighOpen:
			return sheet.Cell{Text: "not bounded by the readings", Mark: sheet.CannotTell}
		case x.LowOpen:
			return sheet.Cell{Text: "under " + say(x.High) + tail, Mark: sheet.CannotTell}
		case x.HighOpen:
			return sheet.Cell{Text: "over " + say(x.Low) + tail, Mark: sheet.CannotTell}
		}
		return sheet.T(say(x.Low) + " to " + say(x.High) + tail)
	}
	z := unit.Metre(0)
	for i, l := range f.Model {
		k := f.Known[i]
		row := sheet.Row{
			sheet.N(float64(i+1), fmt.Sprint(i+1)), sheet.N(float64(l.Resistivity), ohmMetres(float64(l.Resistivity))),
			span(k.Resistivity, func(x float64) string { return unit.Figures(x, 3) }, " ohm-m"), sheet.T("no end seen"), sheet.T(""), sheet.T(inUnits(u, k.Words)),
		}
		if i+1 < len(f.Model) {
			z += l.Thickness
			row[3] = sheet.N(float64(z), u.Run(z))
			row[4] = span(k.Bottom, func(x float64) string { return u.Run(unit.Metre(x)) }, "")
		}
		t.Rows = append(t.Rows, row)
	}
	t.Notes = append(t.Notes, "Fitted by least squares of the logarithms; intervals by the profile of the likelihood (fit of horizontal layers, derived here and checked against published soundings).")
	if len(f.Lines) > 1 {
		for _, l := range f.Lines {
			if l.Readings > 0 {
				t.Notes = append(t.Notes, fmt.Sprintf("Line %s reads %s times the common curve, by %d readings.", l.Name, unit.Figures(float64(l.Factor), 3), l.Readings))
			}
		}
	}
	return t
}

// What the sheet of the survey is made of, mm.
const (
	surveyW, surveyH       = 110.0, 88.0
	plotL, plotR           = 15.0, 106.0
	plotT, plotB           = 4.0, 68.0
	lineHair, line1, line2 = 0.18, 0.25, 0.5
	leastDecade            = 4.0 // an axis is never shorter than this factor
)

// axis is one logarithmic axis: from lo to hi, with the figures on it.
type axis struct {
	lo, hi float64
	ticks  []float64
}

// axisOf returns the axis that holds the values, from a round figure to one.
func axisOf(lo, hi float64) axis {
	for hi/lo < leastDecade {
		lo, hi = lo/1.2, hi*1.2
	}
	var a axis
	for d := math.Floor(math.Log10(lo)) - 1; d <= math.Log10(hi)+1; d++ {
		for _, k := range []float64{1, 2, 5} {
			t := k * math.Pow(10, d)
			switch {
			case t <= lo*(1+1e-9):
				a.lo, a.ticks = t, []float64{t}
			case t < hi*(1-1e-9):
				a.ticks = append(a.ticks, t)
			case a.hi == 0:
				a.hi, a.ticks = t, append(a.ticks, t)
			}
		}
	}
	return a
}

func (a axis) at(v, from, to float64) float64 {
	return from + (to-from)*math.Log(v/a.lo)/math.Log(a.hi/a.lo)
}

// surveySheet draws apparent resistivity over pin spacing, both as logarithms:
// readings as signs, one sign for each line, the curve with its band, and the
// layers as entered where there are any.
func surveySheet(v rule.View, f soil.Fitted, along []unit.Metre, mid []unit.OhmMetre, band []soil.Interval) *draw.Drawing {
	d := &draw.Drawing{ID: "survey", Title: "Soil survey: readings, fitted curve and its band", W: surveyW, H: surveyH}
	per, name := 1.0, "m"
	if v.Site.Units == unit.US {
		per, name = float64(unit.Foot), "ft"
	}
	ps := v.Answer.Survey()
	lo, hi := math.Inf(1), 0.0
	for _, p := range ps {
		lo, hi = math.Min(lo, float64(p.Apparent)), math.Max(hi, float64(p.Apparent))
	}
	for _, b := range band {
		lo, hi = math.Min(lo, b.Low), math.Max(hi, b.High)
	}
	ax, ay := axisOf(float64(along[0])/per, float64(along[len(along)-1])/per), axisOf(lo, hi)
	at := func(a unit.Metre, rho float64) draw.Pt {
		return draw.Pt{X: ax.at(float64(a)/per, plotL, plotR), Y: ay.at(rho, plotB, plotT)}
	}
	ink := func(w float64, dash ...float64) draw.Pen { return draw.Pen{Ink: draw.InkText, Width: w, Dash: dash} }
	text := func(x, y float64, s string, a draw.Anchor) draw.Text {
		return draw.Text{Layer: "text", At: draw.Pt{X: x, Y: y}, Size: draw.MinText, Anchor: a, S: s}
	}
	d.Add(draw.Line{Layer: "axis", Pen: ink(line1), Pts: []draw.Pt{{X: plotL, Y: plotT}, {X: plotR, Y: plotT}, {X: plotR, Y: plotB}, {X: plotL, Y: plotB}}, Close: true})
	for _, t := range ax.ticks {
		x := ax.at(t, plotL, plotR)
		d.Add(draw.Line{Layer: "axis", Pen: draw.Pen{Ink: draw.InkPencil, Width: lineHair, Dash: []float64{0.5, 1.5}}, Pts: []draw.Pt{{X: x, Y: plotT}, {X: x, Y: plotB}}}, text(x, plotB+4, unit.Trim(t, 2), draw.Middle))
	}
	for _, t := range ay.ticks {
		y := ay.at(t, plotB, plotT)
		d.Add(draw.Line{Layer: "axis", Pen: draw.Pen{Ink: draw.InkPencil, Width: lineHair, Dash: []float64{0.5, 1.5}}, Pts: []draw.Pt{{X: plotL, Y: y}, {X: plotR, Y: y}}}, text(plotL-1, y+draw.MinText/2, unit.Trim(t, 2), draw.End))
	}
	d.Add(text((plotL+plotR)/2, plotB+8.5, "pin spacing, "+name, draw.Middle))
	side := text(3.2, (plotT+plotB)/2, "apparent resistivity, ohm-m", draw.Middle)
	side.Turn = 90
	d.Add(side)
	var low, high, curve []draw.Pt
	for i, a := range along {
		low, high, curve = append(low, at(a, band[i].Low)), append(high, at(a, band[i].High)), append(curve, at(a, float64(mid[i])))
	}
	slices.Reverse(low)
	d.Add(draw.Area{Layer: "band", ID: "band", Pts: append(slices.Clone(high), low...), Hatch: 2.2, HatchPen: draw.Pen{Ink: draw.InkPencil, Width: lineHair}})
	d.Add(draw.Line{Layer: "band", ID: "band", Pen: ink(line1, 2.4, 1.2), Pts: low}, draw.Line{Layer: "band", ID: "band", Pen: ink(line1, 2.4, 1.2), Pts: high}, draw.Line{Layer: "curve", ID: "curve", Pen: ink(line2), Pts: curve})
	legend := [][2]string{{"curve", "fitted layers"}, {"band", "90 % band"}}
	if g := v.Answer.SoilModel(); len(v.Site.Soil.Layers) > 0 && g.OK() {
		var pts []draw.Pt
		for _, a := range along {
			r, err := g.Model.WennerFast(a)
			if err != nil || float64(r) < ay.lo || float64(r) > ay.hi {
				continue
			}
			pts = append(pts, at(a, float64(r)))
		}
		if len(pts) > 1 {
			d.Add(draw.Line{Layer: "entered", ID: "entered", Pen: ink(line1, 0.6, 1), Pts: pts})
			legend = append(legend, [2]string{"entered", "layers as entered"})
		}
	}
	var lines []string
	for i, p := range ps {
		k := slices.Index(lines, p.Line)
		if k < 0 {
			k = len(lines)
			lines = append(lines, p.Line)
		}
		aside := slices.ContainsFunc(f.Flagged, func(x soil.Flag) bool { return x.Index == i })
		d.Add(surveySign(fmt.Sprintf("reading %d", i+1), k, aside, at(p.Spacing(), float64(p.Apparent)))...)
	}
	for k, l := range lines {
		w := "readings"
		if l != "" {
			w = "line " + l
		}
		legend = append(legend, [2]string{fmt.Sprint(k), w})
	}
	if len(f.Flagged) > 0 {
		legend = append(legend, [2]string{"aside", "set aside"})
	}
	x, y := plotL, plotB+14.0
	for _, l := range legend {
		w := 9 + draw.TextWidth(l[1], draw.MinText, false)
		if x+w > surveyW {
			x, y = plotL, y+5
		}
		m := draw.Pt{X: x + 3, Y: y - draw.MinText/2}
		dash := func(p draw.Pen) draw.Item {
			return draw.Line{Layer: "legend", Pen: p, Pts: []draw.Pt{{X: m.X - 3, Y: m.Y}, {X: m.X + 3, Y: m.Y}}}
		}
		switch l[0] {
		case "curve":
			d.Add(dash(ink(line2)))
		case "band":
			d.Add(dash(ink(line1, 2.4, 1.2)))
		case "entered":
			d.Add(dash(ink(line1, 0.6, 1)))
		case "aside":
			d.Add(surveySign("", 0, true, m)...)
		default:
			k, _ := strconv.Atoi(l[0])
			d.Add(surveySign("", k, false, m)...)
		}
		d.Add(text(x+7.5, y, l[1], draw.Start))
		x += w + 3
	}
	d.H = y + 3
	d.Desc = fmt.Sprintf("Apparent resistivity over pin spacing on logarithmic axes: %d readings on %d lines, the curve of the fitted layers with its 90 %% band; %d readings set aside. The table below has the figures.", len(ps), len(lines), len(f.Flagged))
	return d
}

// surveySign is the sign of a reading: its shape says the line, and a cross in
// crayon that it was set aside.
func surveySign(id string, line int, aside bool, c draw.Pt) []draw.Item {
	const r = 1.1
	p := draw.Pen{Ink: draw.InkText, Width: 0.35}
	poly := func(n int, turn float64) draw.Item {
		var pts []draw.Pt
		for i := range n {
			s, q := math.Sincos(turn + 2*math.Pi*float64(i)/float64(n))
			pts = append(pts, draw.Pt{X: c.X + 1.25*r*s, Y: c.Y - 1.25*r*q})
		}
		return draw.Line{Layer: "reading", ID: id, Pen: p, Pts: pts, Close: true}
	}
	var out []draw.Item
	switch line % 4 {
	case 0:
		out = append(out, draw.Circle{Layer: "reading", ID: id, Pen: p, C: c, R: r, Fill: true, FillInk: draw.InkPaper})
	case 1:
		out = append(out, poly(4, math.Pi/4))
	case 2:
		out = append(out, poly(3, 0))
	default:
		out = append(out, poly(4, 0))
	}
	if aside {
		x := draw.Pen{Ink: draw.InkCrayon, Width: 0.5}
		out = append(out,
			draw.Line{Layer: "reading", ID: id, Pen: x, Pts: []draw.Pt{{X: c.X - 2, Y: c.Y - 2}, {X: c.X + 2, Y: c.Y + 2}}},
			draw.Line{Layer: "reading", ID: id, Pen: x, Pts: []draw.Pt{{X: c.X - 2, Y: c.Y + 2}, {X: c.X + 2, Y: c.Y - 2}}})
	}
	return out
}
