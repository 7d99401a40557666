package layout

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"strconv"
	"strings"
	"testing"

	"stubup/base/draw"
	"stubup/base/geom"
	"stubup/base/unit"
	"stubup/rule"
	"stubup/site"
)

// texts lists the texts of a drawing.
func texts(d *draw.Drawing) []draw.Text {
	var out []draw.Text
	for _, it := range d.Items {
		if t, ok := it.(draw.Text); ok {
			out = append(out, t)
		}
	}
	return out
}

// checkSheet holds a drawing to what every sheet is held to: no text over
// another, none off the sheet, none under the least letter height, all in
// ink.
func checkSheet(t *testing.T, name string, d *draw.Drawing) {
	t.Helper()
	sheet := draw.Box{X0: 0, Y0: 0, X1: d.W, Y1: d.H}
	ts := texts(d)
	boxes := make([]draw.Box, len(ts))
	for i, x := range ts {
		boxes[i] = x.Box()
		if !boxes[i].Inside(sheet) {
			t.Errorf("%s: %q at %v is off the sheet of %g x %g mm", name, x.S, boxes[i], d.W, d.H)
		}
		if x.Size < draw.MinText {
			t.Errorf("%s: %q is %g mm high", name, x.S, x.Size)
		}
	}
	for i := range ts {
		for j := i + 1; j < len(ts); j++ {
			if boxes[i].Overlaps(boxes[j]) {
				t.Errorf("%s: %q and %q overlap", name, ts[i].S, ts[j].S)
			}
		}
	}
	if b, ok := draw.Bounds(d.Items); !ok || !b.Inside(sheet.Grow(0.5)) {
		t.Errorf("%s: drawn %v on a sheet of %g x %g", name, b, d.W, d.H)
	}
}

// ids counts how often each id of the plan stands on its sheet as a word.
func ids(d *draw.Drawing) map[string]int {
	n := map[string]int{}
	for _, x := range texts(d) {
		for _, w := range strings.Fields(x.S) {
			n[strings.TrimSuffix(w, ",")]++
		}
	}
	return n
}

func checkPoints(t *testing.T, name string, v rule.View, d *draw.Drawing) {
	t.Helper()
	n := ids(d)
	for _, p := range v.Plan.Points {
		if p.Kind == "post" {
			continue
		}
		if n[p.ID] != 1 {
			t.Errorf("%s: %s stands on the plan %d times, want once", name, p.ID, n[p.ID])
		}
	}
}

func TestRandomCompounds(t *testing.T) {
	for seed := range uint64(100) {
		name := fmt.Sprintf("seed %d", seed)
		v := view(randomSite(seed))
		r := Make(v)
		checkSheet(t, name, r.Plan)
		checkPoints(t, name, v, r.Plan)
		for _, d := range r.Runs {
			checkSheet(t, name+" "+d.ID, d)
		}
		if seed%10 == 0 && !reflect.DeepEqual(r, Make(view(randomSite(seed)))) {
			t.Errorf("%s: a second making differs", name)
		}
		if t.Failed() {
			return
		}
	}
}

func hasText(d *draw.Drawing, s string) bool {
	for _, x := range texts(d) {
		if x.S == s {
			return true
		}
	}
	return false
}

// ratioOf reads the scale off the sheet as a person would.
func ratioOf(t *testing.T, d *draw.Drawing) float64 {
	t.Helper()
	for _, x := range texts(d) {
		if _, after, ok := strings.Cut(x.S, "(1:"); ok {
			v, err := strconv.ParseFloat(strings.TrimRight(after[:strings.IndexByte(after, ')')], ")"), 64)
			if err == nil {
				return v
			}
		}
	}
	t.Fatalf("%s: no scale on the sheet", d.ID)
	return 0
}

// middle is the middle of what is drawn of a point.
func middle(t *testing.T, d *draw.Drawing, layer, id string) draw.Pt {
	t.Helper()
	var items []draw.Item
	for _, it := range d.Items {
		switch v := it.(type) {
		case draw.Area:
			if v.Layer == layer && v.ID == id {
				items = append(items, it)
			}
		case draw.Circle:
			if v.Layer == layer && v.ID == id {
				items = append(items, it)
			}
		}
	}
	b, ok := draw.Bounds(items)
	if !ok {
		t.Fatalf("%s %s is not drawn", layer, id)
	}
	return draw.Pt{X: (b.X0 + b.X1) / 2, Y: (b.Y0 + b.Y1) / 2}
}

// The plan is to scale: 40 ft and 30 ft of fence, and the six rods where the
// geometry of the compound puts them, measured off the drawing. Tolerance
// 0.01 mm on paper, the rounding of the written file.
func TestPlanIsToScale(t *testing.T) {
	d := Make(view(compoundA())).Plan
	k := 304.8 / ratioOf(t, d) // mm on paper to a foot
	sw := middle(t, d, "post", "post 1")
	near := func(what string, got draw.Pt, x, y float64) {
		want := draw.Pt{X: sw.X + x*k, Y: sw.Y - y*k}
		if dist(got, want) > 0.01 {
			t.Errorf("%s at %v, want %v", what, got, want)
		}
	}
	near("north-east post", middle(t, d, "post", "post 8"), 40, 30)
	near("gate post", middle(t, d, "post", "post 13"), 0, 21)
	near("rod at the first corner", middle(t, d, "rod", "R1"), 2, 2)
	near("rod in the south side", middle(t, d, "rod", "R2"), 20, 2)
	near("rod at the third corner", middle(t, d, "rod", "R4"), 38, 28)
}

// The ring is drawn as it is bent: 124 ft less 4 x R (2 - pi/2) at 8 in
// corners. Tolerance 0.1 %, the chords of the drawn bends.
func TestRingIsDrawnBent(t *testing.T) {
	d := Make(view(compoundA())).Plan
	sum := 0.0
	for _, it := range d.Items {
		if l, ok := it.(draw.Line); ok && l.Layer == "ring" {
			sum += lengthOf(l.Pts)
		}
	}
	got := sum * ratioOf(t, d) / 304.8
	want := 124 - 4*(8.0/12)*(2-math.Pi/2)
	if math.Abs(got-want) > 0.001*want {
		t.Errorf("ring drawn %.3f ft long, want %.3f", got, want)
	}
}

// Compound A counted by hand from the positions of its sketch.
func TestSummaryOfCompoundA(t *testing.T) {
	r := Make(view(compoundA()))
	all := strings.Join(r.Summary, "\n")
	for _, want := range []string{
		"124.0 ft takeoff, 122.9 ft built", "rods     6,", "whips    21, 228.0 ft", "352.0 ft in all",
		"44 welded: tap 23, inline splice 1, cable-to-rod 6, cable-to-pipe 10, cable-to-flat 4", "2 gate jumpers, 4 clamped ends", "posts    14",
	} {
		if !strings.Contains(all, want) {
			t.Errorf("summary has no %q:\n%s", want, all)
		}
	}
	if n := len(r.Points.Rows); n != 6+49+21+14 {
		t.Errorf("%d points listed", n)
	}
	for _, side := range []string{"40'-0\"", "30'-0\"", "2'-0\"", "10'-0\""} {
		if !hasText(r.Plan, side) {
			t.Errorf("no dimension %s", side)
		}
	}
	n := ids(r.Plan)
	for k := 1; k <= 14; k++ {
		if want := fmt.Sprintf("post %d", k); !hasText(r.Plan, want) {
			t.Errorf("%s is not numbered", want)
		}
	}
	if n["Print"] != 1 || n["AHJ"] != 1 {
		t.Error("the sheet lacks \"print at 100 %\" or its caution")
	}
}

// Only the signs that occur are explained.
func TestSignsThatOccur(t *testing.T) {
	a, b := Make(view(compoundA())).Plan, Make(view(compoundB())).Plan
	for _, c := range []struct {
		text string
		a, b bool
	}{{"handhole", false, true}, {"wall", false, true}, {"trench open", false, true}, {"ground bar", true, false}, {"tap, welded", true, true}, {"expansion fitting", false, true}} {
		if hasText(a, c.text) != c.a || hasText(b, c.text) != c.b {
			t.Errorf("%q explained: %v and %v, want %v and %v", c.text, hasText(a, c.text), hasText(b, c.text), c.a, c.b)
		}
	}
}

// The state of the work is drawn by fill and weight besides its ink.
func TestProgressIsDrawn(t *testing.T) {
	d := Make(view(compoundB())).Plan
	fill := map[string]draw.Ink{}
	for _, it := range d.Items {
		if c, ok := it.(draw.Circle); ok && c.Layer == "rod" && c.R > 1 {
			fill[c.ID] = c.FillInk
		}
	}
	if fill["R2"] != draw.InkCopper || fill["R1"] != draw.InkPaper {
		t.Errorf("driven rod filled %v, planned rod %v", fill["R2"], fill["R1"])
	}
	v := view(compoundA())
	d = MakeAt(v, func(id string) Progress {
		if id == "ring" {
			return Covered
		}
		return Planned
	}).Plan
	ticks, dashed := 0, 0
	for _, it := range d.Items {
		if l, ok := it.(draw.Line); ok && l.Layer == "ring" {
			if l.Pen.Width == hair && l.Pen.Ink == draw.InkPatina {
				ticks++
			}
			if len(l.Pen.Dash) > 0 {
				dashed++
			}
		}
	}
	if ticks < 50 || dashed != 0 {
		t.Errorf("covered ring has %d ticks and %d dashed lines", ticks, dashed)
	}
	// What waits in an open trench lies dashed on its band, which is drawn
	// before it.
	d = MakeAt(v, func(id string) Progress {
		if id == "ring" || id == "W1" {
			return Open
		}
		return Planned
	}).Plan
	first := map[string]int{}
	bands := map[string]bool{}
	for i, it := range d.Items {
		if _, ok := first[draw.LayerOf(it)]; !ok {
			first[draw.LayerOf(it)] = i
		}
		if a, ok := it.(draw.Area); ok && a.FillInk == draw.InkChalk && a.Layer == "trench" {
			bands[a.ID] = true
		}
	}
	if !bands["ring"] || !bands["W1"] || bands["W2"] || first["trench"] > first["ring"] {
		t.Errorf("open bands %v, trench drawn at %d, ring at %d", bands, first["trench"], first["ring"])
	}
}

// Running sums: 90 before the handhole; 90 + 45 + 90 after it, over the
// owner's 180 and marked; the power run has no limit but the code's.
func TestBendSums(t *testing.T) {
	r := Make(view(compoundB()))
	want := map[string][]string{
		"run-fiber-1-elevation": {"P1 handhole 1: 90 of 180 | 360", "P2 conduit body LB: 225 of 180 | 360"},
		"run-fiber-1-space":     {"P1 handhole 1: 90 of 180 | 360", "P2 conduit body LB: 225 of 180 | 360"},
		"run-power-2-elevation": {"service: 150 of 360"},
	}
	for _, d := range r.Runs {
		for _, s := range want[d.ID] {
			if !hasText(d, s) {
				t.Errorf("%s: no %q", d.ID, s)
			}
		}
		crayon := 0
		for _, it := range d.Items {
			if l, ok := it.(draw.Line); ok && l.Pen.Ink == draw.InkCrayon {
				crayon++
			}
		}
		if over := strings.HasPrefix(d.ID, "run-fiber"); (crayon > 0) != over {
			t.Errorf("%s: %d crayon marks", d.ID, crayon)
		}
	}
}

// A bend up or down is drawn at its true radius in elevation, every point of
// it one radius from its centre; tolerance 0.001 mm.
func TestElevationArcsAreTrue(t *testing.T) {
	v := view(compoundB())
	s := &runSheet{v: v, r: &v.Plan.Runs[0], done: func(string) Progress { return Planned }}
	d := s.draw(0)
	if r := ratioOf(t, d); r != s.scale.Ratio {
		t.Errorf("sheet says 1:%g, drawn at 1:%g", r, s.scale.Ratio)
	}
	seen := 0
	for _, q := range s.pieces {
		if !q.Arc || math.Abs(q.Dir.Z)+math.Abs(q.Out.Z) < 0.9 {
			continue
		}
		seen++
		r := 24 * 25.4 / s.scale.Ratio
		a, b := q.pts[0], q.pts[len(q.pts)-1]
		// Quarter bends: the centre is level with one end and plumb with the other.
		for _, c := range []draw.Pt{{X: a.X, Y: b.Y}, {X: b.X, Y: a.Y}} {
			ok := true
			for _, p := range q.pts {
				ok = ok && math.Abs(dist(p, c)-r) < 0.001
			}
			if ok {
				seen += 10
			}
		}
	}
	if seen != 22 {
		t.Errorf("%d: of two bends of 24 in not both are true quarter circles", seen)
	}
}

// Scales are what their words say.
func TestScaleWords(t *testing.T) {
	val := func(s string) (float64, string) {
		n, u, _ := strings.Cut(strings.TrimSpace(s), " ")
		a, b, frac := strings.Cut(n, "/")
		v, _ := strconv.ParseFloat(a, 64)
		if frac {
			w, _ := strconv.ParseFloat(b, 64)
			v /= w
		}
		return v * map[string]float64{"in": 25.4, "ft": 304.8, "m": 1000, "mm": 1}[u], u
	}
	for _, u := range []unit.System{unit.US, unit.SI} {
		last := 0.0
		for _, s := range scales(u) {
			if s.Ratio <= last {
				t.Errorf("1:%g after 1:%g", s.Ratio, last)
			}
			last = s.Ratio
			if s.Words == "" {
				continue
			}
			l, r, _ := strings.Cut(s.Words, "=")
			a, _ := val(l)
			b, _ := val(r)
			if ratio := max(a/b, b/a); math.Abs(ratio-s.Ratio) > 1e-9*ratio {
				t.Errorf("%q is 1:%g, not 1:%g", s.Words, ratio, s.Ratio)
			}
		}
	}
}

// ISO 216: each size is half the one before, so the long side of one is the
// short side of the next larger. ASME Y14.1 sizes A to E: each doubles the
// short side of the one before. Both from memory.
func TestPaperSizes(t *testing.T) {
	for _, key := range []string{"us", "si"} {
		var w, h float64
		for _, r := range paperTable().Rows {
			if r[1] != key {
				continue
			}
			nw, _ := strconv.ParseFloat(r[2], 64)
			nh, _ := strconv.ParseFloat(r[3], 64)
			if w > 0 && (math.Abs(nh-w) > 1 || math.Abs(nw-2*h) > 1) {
				t.Errorf("%s is %g x %g after %g x %g", r[0], nw, nh, w, h)
			}
			w, h = nw, nh
		}
	}
}

// The printed rule measures what it says: from its first mark to its last is
// the number of feet written at the last, at the scale. Tolerance 0.001 mm.
func TestFoldingRule(t *testing.T) {
	for _, u := range []unit.System{unit.US, unit.SI} {
		for _, s := range scales(u)[:20] {
			items, w, h := FoldingRule(u, s, 50)
			var end float64
			var last string
			for _, it := range items {
				switch v := it.(type) {
				case draw.Line:
					if v.Close {
						end = max(end, v.Pts[1].X)
					}
				case draw.Text:
					if strings.HasSuffix(v.S, " ft") && u == unit.US || strings.HasSuffix(v.S, " m") && u == unit.SI {
						last = strings.Fields(v.S)[0]
					}
				}
			}
			n, err := strconv.ParseFloat(last, 64)
			per := 304.8
			if u == unit.SI {
				per = 1000
			}
			if err != nil || math.Abs(end-n*per/s.Ratio) > 0.001 || w <= 0 || h <= 0 {
				t.Errorf("1:%g: rule is %g mm long and says %q", s.Ratio, end, last)
			}
		}
	}
}

// Whatever is written, a sheet comes out that can be read.
func TestStrangeSites(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	strange := map[string]func(*site.Site){
		"empty":        func(s *site.Site) { *s = site.Site{} },
		"no objects":   func(s *site.Site) { s.Objects = nil },
		"SI":           func(s *site.Site) { s.Units = unit.SI },
		"flat fence":   func(s *site.Site) { s.Objects[0].Outline = fts(0, 0, 40, 0, 20, 0) },
		"point fence":  func(s *site.Site) { s.Objects[0].Outline = fts(1, 1, 1, 1, 1, 1, 1, 1) },
		"two corners":  func(s *site.Site) { s.Objects[0].Outline = fts(0, 0, 40, 0) },
		"bow tie":      func(s *site.Site) { s.Objects[0].Outline = fts(0, 0, 40, 30, 40, 0, 0, 30) },
		"no number":    func(s *site.Site) { s.Objects[1].Outline[2] = geom.Point{X: nan, Y: 3} },
		"no end":       func(s *site.Site) { s.Objects[2].Outline[1] = geom.Point{X: inf, Y: 3} },
		"far away":     func(s *site.Site) { s.Objects[4].Legs[0] = geom.Point{X: 4e6, Y: -3e6} },
		"tiny":         func(s *site.Site) { s.Objects[0].Outline = fts(0, 0, 0.01, 0, 0.01, 0.01, 0, 0.01) },
		"long name":    func(s *site.Site) { s.Name = strings.Repeat("a very long name of a compound ", 12) },
		"long word":    func(s *site.Site) { s.Objects[1].Name = strings.Repeat("platform", 40) },
		"no steps":     func(s *site.Site) { s.Runs = []site.Run{{ID: "fiber 1"}} },
		"no word":      func(s *site.Site) { s.Runs = compoundB().Runs; s.Runs[0].ID = "" },
		"twice a word": func(s *site.Site) { s.Runs = compoundB().Runs; s.Runs[1].ID = s.Runs[0].ID },
		"long run": func(s *site.Site) {
			s.Runs = compoundB().Runs[:1]
			s.Runs[0].Steps[4].Length = q(9000, "9 km")
		},
		"deep run": func(s *site.Site) {
			s.Runs = compoundB().Runs[:1]
			s.Runs[0].Steps[0].Length = q(300, "300 m")
		},
		"all on one place": func(s *site.Site) {
			for i := range s.Objects {
				o := &s.Objects[i]
				for k := range o.Lugs {
					o.Lugs[k] = ft(20, 15)
				}
				for k := range o.Legs {
					o.Legs[k] = ft(20, 15)
				}
				if i > 0 {
					for k := range o.Outline {
						o.Outline[k] = ft(20, 15)
					}
				}
			}
		},
		"over itself": func(s *site.Site) {
			b := compoundB()
			for range 6 {
				b.Runs[0].Steps = append(b.Runs[0].Steps, b.Runs[0].Steps[3:8]...)
			}
			s.Runs = b.Runs
		},
	}
	for name, f := range strange {
		s := compoundA()
		f(s)
		v := view(s)
		r := Make(v)
		checkSheet(t, name, r.Plan)
		checkPoints(t, name, v, r.Plan)
		for _, d := range r.Runs {
			checkSheet(t, name+" "+d.ID, d)
		}
	}
}

// Runs of any steps: straights of nothing, bends that double back, pull
// points on pull points.
func TestRandomRuns(t *testing.T) {
	for seed := range uint64(200) {
		r := rand.New(rand.NewPCG(seed, 5))
		s := &site.Site{Name: "runs", Owner: compoundA().Owner}
		for i := range 1 + r.IntN(3) {
			s.Runs = append(s.Runs, randomRun(r, fmt.Sprintf("fiber %d", i+1), geom.Point3{X: r.Float64() * 20, Z: r.Float64()*4 - 2}))
			if r.IntN(3) == 0 {
				k := r.IntN(len(s.Runs[i].Steps))
				s.Runs[i].Steps[k].Length = q(unit.Metre(r.Float64()*2-1), "x")
				s.Runs[i].Steps[k].Radius = q(0, "0 in")
			}
		}
		for _, d := range Make(view(s)).Runs {
			checkSheet(t, fmt.Sprintf("seed %d %s", seed, d.ID), d)
		}
		if t.Failed() {
			return
		}
	}
}

// A joint is hollow where planned and solid where fired, and its sign keeps
// to its size.
func TestJointSigns(t *testing.T) {
	for _, k := range jointKinds {
		for _, how := range []Progress{Planned, Open, In, Tested, Covered, Rejected} {
			items := JointSign("J1", draw.Pt{X: 10, Y: 10}, 4, k, how)
			b, ok := draw.Bounds(items)
			most := 2.0
			if how != Planned && how != In {
				most = 2.0 * 1.7 // the second frame, the X, the trench or the earth that it lies in
			}
			if !ok || !b.Inside(square(draw.Pt{X: 10, Y: 10}, most+0.2)) {
				t.Errorf("%s %d: %v", k, how, b)
			}
			solid := false
			for _, it := range items {
				if a, ok := it.(draw.Area); ok && a.Fill && a.FillInk == how.ink() {
					solid = true
				}
			}
			if solid != how.done() {
				t.Errorf("%s %d: solid %v", k, how, solid)
			}
		}
	}
}
