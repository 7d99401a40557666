package work_test

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
	"stubup/base/draw"
	"stubup/base/geom"
	"stubup/base/sheet"
	"stubup/base/unit"
	"stubup/plan"
	"stubup/site"
	"stubup/stage/work"
	"stubup/trade/raceway"
)

// 23 charges for 23 taps: a reject at shot 9 leaves 15 joints and 14 charges,
// an alarm at once; a second at shot 15 leaves 10 and 8. Counts, exact.
func TestChargesRunShort(t *testing.T) {
	var used []work.Outcome
	for shot := 1; shot <= 15; shot++ {
		o := work.Good
		if shot == 9 || shot == 15 {
			o = work.Reject
		}
		used = append(used, o)
		c := work.Count(23, 23, used)
		switch {
		case shot < 9 && (c.Short() != 0 || c.AlarmAt != 0):
			t.Errorf("shot %d: an alarm too soon: %+v", shot, c)
		case shot == 9 && (c.Joints != 15 || c.Left != 14 || c.AlarmAt != 9 || c.Words("45 g") != "short by 1: 14 charges of 45 g for 15 joints"):
			t.Errorf("shot 9: %+v %q", c, c.Words("45 g"))
		case shot == 15 && (c.Joints != 10 || c.Left != 8 || c.AlarmAt != 9 || c.Short() != 2):
			t.Errorf("shot 15: %+v", c)
		}
	}
}

// The same by algebra for any pool: after n charges of which r were rejects
// and l lost, joints - (n - r - l) are left to do and charges - n to do it
// with, so that short = r + l - spares. The alarm falls at the charge by which
// r + l first passes the spares.
func TestChargesTwin(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		joints := rapid.IntRange(1, 60).Draw(t, "joints")
		spare := rapid.IntRange(0, 8).Draw(t, "spare")
		n := rapid.IntRange(0, joints).Draw(t, "used")
		var used []work.Outcome
		bad, alarm := 0, 0
		for i := range n {
			o := work.Outcome(rapid.IntRange(0, 2).Draw(t, "outcome"))
			if o != work.Good {
				bad++
				if bad == spare+1 {
					alarm = i + 1
				}
			}
			used = append(used, o)
		}
		c := work.Count(joints, joints+spare, used)
		if c.Joints != joints-(n-bad) || c.Left != joints+spare-n || c.Short() != bad-spare || c.AlarmAt != alarm || c.Rejects+c.Lost != bad {
			t.Fatalf("%+v", c)
		}
	})
	if c := work.Count(10, 8, nil); c.AlarmAt != 1 {
		t.Errorf("a pool that starts short is silent: %+v", c)
	}
}

// What is in the ground is made first; pipe and flat joints may wait.
func TestRunningShort(t *testing.T) {
	v := view(t, compoundA(t))
	taps := strings.Join(work.RunningShort(v.Site, v.Plan, 0.045, nil), " | ")
	if !strings.Contains(taps, "none of these may wait") || !strings.Contains(taps, "meanwhile: ") {
		t.Errorf("45 g: %s", taps)
	}
	steel := work.RunningShort(v.Site, v.Plan, 0.115, nil)
	if !strings.HasPrefix(steel[0], "may wait: ") {
		t.Errorf("115 g: %v", steel)
	}
	waits := 0
	for _, j := range v.Plan.Welded() {
		if work.MayWait(j) {
			waits++
		}
	}
	if waits != 14 { // 10 pipe and 4 flat, all above grade
		t.Errorf("%d joints may wait, want 14", waits)
	}
}

// Asked for the first shot, over 20 min idle, after rain, on wet ground, and
// not otherwise.
func TestDryDue(t *testing.T) {
	for _, c := range []struct {
		first     bool
		idle      unit.Second
		rain, wet bool
		due       bool
		why       string
	}{
		{true, 0, false, false, true, "first shot of the day"},
		{false, 34 * 60, false, false, true, "idle 34 min, over 20"},
		{false, 20 * 60, false, false, false, ""},
		{false, 60, true, false, true, "rain since the last shot"},
		{false, 60, false, true, true, "the ground is wet"},
		{false, 60, false, false, false, ""},
	} {
		if due, why := work.DryDue(c.first, c.idle, c.rain, c.wet); due != c.due || why != c.why {
			t.Errorf("%+v: %v %q", c, due, why)
		}
	}
}

func column(tb *sheet.Table, head string) []string {
	i := slices.IndexFunc(tb.Columns, func(c sheet.Column) bool { return c.Head == head })
	var out []string
	for _, r := range tb.Rows {
		out = append(out, r[i].Text)
	}
	return out
}

// Compound A by hand: 44 welds, 24 at 45 g, 6 at 90 g, 14 at 115 g; one first
// shot for each of 7 molds; the two tower joints told only.
func TestWeldList(t *testing.T) {
	v := view(t, compoundA(t))
	r := work.Make(v)
	welds := r.Table("work.welds")
	charges := map[string]int{}
	for _, c := range column(welds, "mold, shot, charge by its tag") {
		if c == "" {
			continue // the hold
		}
		parts := strings.Split(c, ", ")
		charges[parts[len(parts)-1]]++
	}
	if got := fmt.Sprint(charges); got != "map[115 g:14 45 g:24 90 g:6]" {
		t.Errorf("charges %s", got)
	}
	dry, told := 0, 0
	for _, n := range column(welds, "notes") {
		dry += strings.Count(n, "dry mold")
		told += strings.Count(n, "told only")
	}
	if dry != 7 || told != 2 {
		t.Errorf("%d first shots and %d told only, want 7 and 2", dry, told)
	}
	// Ring, rods and taps first; then the hold for the earth test; then what
	// bonds the ground to anything else. Each part walks the ring forward.
	last, holds := -1.0, 0
	var ids []string
	for _, id := range column(welds, "joint") {
		if id == "hold" {
			holds++
			last = -1
			continue
		}
		ids = append(ids, id)
		j := v.Plan.JointByID(id)
		if float64(j.Station) < last-1e-9 {
			t.Errorf("%s lies back along the ring", id)
		}
		last = float64(j.Station)
		if bonds := !slices.Contains(j.Ties, "ring"); bonds != (holds == 1) {
			t.Errorf("%s, %v, stands on the wrong side of the earth test", id, j.Ties)
		}
	}
	if n := slices.Compact(slices.Sorted(slices.Values(ids))); len(n) != 44 || holds != 1 {
		t.Errorf("%d joints and %d holds, want 44 and 1", len(n), holds)
	}
	molds := r.Table("work.molds")
	if len(molds.Rows) != 7 {
		t.Errorf("%d molds, want 7", len(molds.Rows))
	}
	sum := 0.0
	for _, row := range molds.Rows {
		sum += row[5].Num
	}
	if sum != 44 {
		t.Errorf("the molds end with %v shots in all, want 44", sum)
	}
	if !slices.ContainsFunc(r.First, func(s string) bool {
		return strings.HasPrefix(s, "dry mold 1 and its conductor: first shot of the day. Again after 20 min idle")
	}) || !slices.ContainsFunc(r.First, func(s string) bool { return strings.HasPrefix(s, "see first: J") }) {
		t.Errorf("first: %q", r.First)
	}
}

// 31 fired: 19 taps are left in a mold of 50, the other 4 go to the second.
func TestMoldSchedule(t *testing.T) {
	r := made(t, with(t, compoundA(t), "    - joint: tap\n      charge: 45 g\n", "    - joint: tap\n      charge: 45 g\n      shots: 31\n"))
	var tap [][]string
	for _, row := range r.Table("work.molds").Rows {
		if strings.HasPrefix(row[1].Text, "tap mold") {
			tap = append(tap, []string{row[3].Text, row[5].Text, row[6].Text})
		}
	}
	if len(tap) != 2 || tap[0][0] != "31" || tap[0][1] != "50" || tap[1][0] != "0" || tap[1][1] != "4" || !strings.Contains(tap[0][2], "56 > 50: order a second before the start") {
		t.Errorf("%q", tap)
	}
	if !slices.ContainsFunc(r.First, func(s string) bool { return strings.Contains(s, "order a second before the start") }) {
		t.Errorf("not said first: %q", r.First)
	}
	warned := slices.ContainsFunc(column(r.Table("work.welds"), "notes"), func(s string) bool { return strings.Contains(s, "shot 45: look hard at the mold") })
	if !warned {
		t.Error("shot 45 asks for no look")
	}
}

func TestWhatIsNotKnownIsSaid(t *testing.T) {
	r := made(t, with(t, compoundA(t), "      gate: 4 in\n", "", "    - joint: rod\n      charge: 90 g\n", ""))
	if !slices.ContainsFunc(r.First, func(s string) bool { return strings.HasPrefix(s, "measure first: J") }) {
		t.Errorf("%q", r.First)
	}
	n := 0
	for _, row := range r.Table("work.welds").Rows {
		if strings.HasSuffix(row[4].Text, "charge cannot tell: read the tag of the rod mold") && row[4].Mark == sheet.CannotTell {
			n++
		}
	}
	if n != 6 {
		t.Errorf("%d rod joints without a charge, want 6", n)
	}
}

// A rod that stops: move, 45 degrees, flat, in this order, and never the saw.
func TestRodsStop(t *testing.T) {
	r := made(t, compoundA(t)+"state:\n  rods:\n    - rod: R1\n      driven: 5 ft\n      refused: yes\n")
	notes := strings.Join(r.Table("work.rods").Notes, "\n")
	at := -1
	for _, w := range []string{"move 1 to 2 ft", "45 degrees", "flat", "never cut off"} {
		k := strings.Index(notes, w)
		if k <= at {
			t.Errorf("%q comes at %d, after %d", w, k, at)
		}
		at = k
	}
	if r.Table("work.rods").Rows[0][4].Text != "stopped at 5'-0\"" {
		t.Errorf("%q", r.Table("work.rods").Rows[0][4].Text)
	}
	if !slices.ContainsFunc(r.First, func(s string) bool { return strings.HasPrefix(s, "rod R1 stopped with 5'-0\" driven") }) {
		t.Errorf("%q", r.First)
	}
}

// The fields of each record, in the order in which a record is kept.
func TestRegisters(t *testing.T) {
	keys := map[string]string{
		"weld-before": "joint kind ties conductor-lot mold-and-shot charge-and-lot dried ends-photo weather",
		"weld-after":  "joint fired misfires slag-photo eye tap-check milliohm-expected milliohm-measured paint-back welder inspector redo-of",
		"rod":         "rod ties type driven couplings angle refusal alternate top-depth ohms-alone soil rod-time rod-photo",
		"depth":       "station dug finished width utilities tape-photo soil water rock",
		"whip":        "whip from to length sleeve radius tag paint-removed compound die-or-torque whip-photo",
		"earth-test":  "disconnected trench method stakes meter calibrated stray readings soil temperature frozen rain limit predicted verdict tester witness",
		"continuity":  "pair expected measured current temperature",
		"survey":      "line bearing spacing ohms",
		"raceway":     "section degrees boxes length tape mandrel locate-wire cover separation penetrations expansion jumpers pull-line",
	}
	common := "author device time clock-offset place-words position sign-off"
	r := made(t, compoundA(t))
	rows := map[string]int{"weld-before": 44, "weld-after": 44, "rod": 6, "whip": 21 + 5 + 2, "continuity": 6 + 21 - 2, "raceway": 2} // two whips end below grade
	for i, rec := range work.Records() {
		var got []string
		for _, f := range rec.All() {
			got = append(got, f.Key)
		}
		if want, ok := keys[rec.ID]; ok && strings.Join(got, " ") != want+" "+common {
			t.Errorf("%s: %v", rec.ID, got)
		}
		tb := r.Registers[i]
		if len(tb.Columns) != len(got) {
			t.Errorf("%s: %d columns for %d fields", rec.ID, len(tb.Columns), len(got))
		}
		if n, ok := rows[rec.ID]; ok && len(tb.Rows) != n {
			t.Errorf("%s: %d rows, want %d", rec.ID, len(tb.Rows), n)
		}
		if len(tb.Rows) == 0 && tb.Blank == 0 {
			t.Errorf("%s: nowhere to write", rec.ID)
		}
		// What the crew finds out is empty.
		for _, row := range tb.Rows {
			for k, f := range rec.All() {
				if !f.Given && f.Key != "place-words" && row[k].Text != "" {
					t.Errorf("%s: %s is filled with %q", rec.ID, f.Key, row[k].Text)
				}
			}
		}
		// On paper the same fields stand in the same order, each once.
		var heads, paper []string
		for _, f := range rec.All() {
			heads = append(heads, f.Head)
		}
		for _, b := range r.Book[i].Blocks {
			p, ok := b.(sheet.Table)
			if !ok {
				continue
			}
			if p.Columns[0].Head == "field" {
				paper = append(paper, column(&p, "field")...)
				continue
			}
			if len(paper) == 0 {
				paper = append(paper, p.Columns[0].Head)
			}
			for _, c := range p.Columns[1:] {
				paper = append(paper, c.Head)
			}
		}
		if !slices.Equal(heads, paper) {
			t.Errorf("%s: on paper %q, want %q", rec.ID, paper, heads)
		}
	}
}

// sixteenth is the most by which a mark read back may miss the drawing.
const sixteenth = 0.0254 / 16

// The marks walked back through space end where the plan has the pipe.
func walkBack(t interface{ Errorf(string, ...any) }, r work.Result, at func(run string, s unit.Metre) geom.Point3) (bends int) {
	for _, s := range r.Sticks {
		if len(s.Bends) == 0 {
			continue
		}
		ms := s.Bends
		end, _ := s.Walk(exact(ms), s.Cut)
		if d := end.Dist(at(s.Run, s.From+s.Cut)); d > sixteenth {
			t.Errorf("%s: the marks end %.4f m from the plan", s.Name(), d)
		}
		// With the marks as printed, to an eighth: each is off by a 1/16 in at
		// most, and turning by any angle moves the end by no more than twice
		// that for each bend, and a 1/32 for the cut.
		end, _ = s.Walk(printed(ms), printLength(s.Cut))
		if d, most := end.Dist(at(s.Run, s.From+s.Cut)), float64(4*len(ms)+1)*0.0254/32+1e-6; d > most {
			t.Errorf("%s: the printed marks end %.4f m from the plan, %.4f at most", s.Name(), d, most)
		}
		bends += len(ms)
	}
	return bends
}

func exact(bs []work.Bend) []raceway.Mark {
	var out []raceway.Mark
	for _, b := range bs {
		out = append(out, b.Mark)
	}
	return out
}

func printed(bs []work.Bend) []raceway.Mark {
	out := exact(bs)
	for i := range out {
		at := printLength(unit.Metre(math.Round(out[i].Start.In()*8)) * unit.Inch / 8)
		if math.Abs(float64(at-out[i].Start)) > sixteenth+1e-9 {
			panic("a mark to an eighth is further off than a sixteenth")
		}
		out[i].Start = at
	}
	return out
}

func printLength(m unit.Metre) unit.Metre {
	v, err := unit.Parse(unit.FeetInches(m), unit.Length)
	if err != nil {
		panic(err)
	}
	return unit.Metre(v)
}

// By hand, in inches from the start: 23 ft east; an offset of 12 in at 30
// degrees on 6 in advances 2 x 6 sin 30 + 20.785 cos 30 = 24 in; 12 ft east;
// left on 6 in, 4 ft north; up on 6 in, 3 ft. The box sits at
// (276 + 24 + 144 + 6, 6 + 48 + 6, 96 + 12 + 6 + 36) = (450, 60, 150).
func TestMarksWalkBackToTheBox(t *testing.T) {
	v := view(t, powerRun)
	r := work.Make(v)
	if n := walkBack(t, r, func(_ string, s unit.Metre) geom.Point3 { return v.Plan.Runs[0].At(s) }); n != 4 {
		t.Errorf("%d bends are marked, want 4", n)
	}
	var last work.Stick
	for _, s := range r.Sticks {
		if len(s.Bends) > 0 {
			last = s
		}
	}
	end, dir := last.Walk(exact(last.Bends), last.Cut)
	box := geom.Point3{X: 450, Y: 60, Z: 150}.Scale(0.0254)
	if d := end.Dist(box); d > sixteenth {
		t.Errorf("the pipe ends %v, the box is at %v", end, box)
	}
	if dir.Dist(geom.Point3{Z: 1}) > 1e-9 {
		t.Errorf("it enters the box going %v", dir)
	}
}

// Random runs of field bends, each drawn by plan and walked back from its
// marks alone.
func TestMarksOfRandomRuns(t *testing.T) {
	sides := []string{"left", "right", "up", "down"}
	rapid.Check(t, func(rt *rapid.T) {
		var b strings.Builder
		b.WriteString("format: 1\nname: Any run\nunits: us\ngrid: ft\nruns:\n  run 1:\n    service: power\n    raceway: EMT 3/4 in\n    start: [0, 0, 30]\n    heading: east\n    path:\n")
		n := rapid.IntRange(1, 6).Draw(rt, "bends")
		for i := range n {
			fmt.Fprintf(&b, "      - straight: %d in\n        in: wall\n", rapid.IntRange(14, 200).Draw(rt, "straight"))
			side := sides[rapid.IntRange(0, 1).Draw(rt, "side")+2*(i%2)]
			angle := rapid.SampledFrom([]int{10, 22, 30, 45, 60, 90}).Draw(rt, "angle")
			if side == "up" || side == "down" {
				angle = min(angle, 45) // stays off the vertical, where left has no meaning
				if i > 0 {
					side = "up"
				}
			}
			if i > 1 {
				side = sides[i%2]
			}
			fmt.Fprintf(&b, "      - bend: %d %s\n        radius: %d in\n        made: field\n", angle, side, rapid.IntRange(5, 10).Draw(rt, "radius"))
		}
		fmt.Fprintf(&b, "      - straight: %d in\n        in: wall\n", rapid.IntRange(14, 200).Draw(rt, "tail"))
		v := view(t, b.String())
		r := work.Make(v)
		run := v.Plan.Runs[0]
		if got := walkBack(rt, r, func(_ string, s unit.Metre) geom.Point3 { return run.At(s) }); got != n {
			rt.Errorf("%d bends are marked, %d drawn", got, n)
		}
		sum := unit.Metre(0)
		for _, s := range r.Sticks {
			sum += s.Cut
			if s.Cut > 10*unit.Foot+1e-6 {
				rt.Errorf("%s is cut %v m", s.Name(), s.Cut)
			}
		}
		if math.Abs(float64(sum-run.Length)) > 1e-6 {
			rt.Errorf("%v m cut for a run of %v m", sum, run.Length)
		}
		for _, d := range r.Drawings {
			checkDrawing(rt, d)
		}
	})
}

// A hand bender's arrow: the stub to the back of the bend less the take-up.
// Stick 5 of the power run: 2'-0 1/2" of pipe, radius 6 in, half of the 1.163
// in outside diameter of 1 in EMT, less 8 in.
func TestArrow(t *testing.T) {
	r := made(t, powerRun)
	s := r.Sticks[4]
	want := s.Bends[0].Start.In() + 6 + 1.163/2 - 8
	if math.Abs(s.Bends[0].Arrow.In()-want) > 1e-6 || s.Bends[0].Shoe != "take-up 8 in" {
		t.Errorf("arrow at %v in, want %v (%s)", s.Bends[0].Arrow.In(), want, s.Bends[0].Shoe)
	}
	if r.Sticks[2].Bends[0].Shoe != "" {
		t.Error("an offset has the arrow of a stub")
	}
	notes := strings.Join(r.Table("work.bends.power-1").Notes, " ")
	if !strings.Contains(notes, "hand bender") || !strings.Contains(notes, "The shoe in hand decides") {
		t.Errorf("%s", notes)
	}
}

// No two texts touch, none is too small, all stay on the paper, and the marks
// stand to scale.
func checkDrawing(t interface{ Errorf(string, ...any) }, d *draw.Drawing) {
	var boxes []draw.Box
	var words []string
	page := draw.Box{X1: d.W, Y1: d.H}
	for _, it := range d.Items {
		x, ok := it.(draw.Text)
		if !ok {
			continue
		}
		if x.Size < draw.MinText {
			t.Errorf("%s: %q is %v mm high", d.ID, x.S, x.Size)
		}
		b := x.Box()
		if !b.Inside(page) {
			t.Errorf("%s: %q runs off the paper: %+v in %v x %v", d.ID, x.S, b, d.W, d.H)
		}
		for i, o := range boxes {
			if b.Grow(-0.2).Overlaps(o.Grow(-0.2)) {
				t.Errorf("%s: %q lies on %q", d.ID, x.S, words[i])
			}
		}
		for _, l := range d.Items {
			if l, ok := l.(draw.Line); ok && l.Layer == "leader" {
				line := draw.Box{X0: l.Pts[0].X - 0.05, X1: l.Pts[0].X + 0.05, Y0: min(l.Pts[0].Y, l.Pts[1].Y), Y1: max(l.Pts[0].Y, l.Pts[1].Y)}
				if line.Overlaps(b.Grow(-0.3)) {
					t.Errorf("%s: a leader runs through %q", d.ID, x.S)
				}
			}
		}
		boxes, words = append(boxes, b), append(words, x.S)
	}
}

func TestStickDrawing(t *testing.T) {
	r := made(t, powerRun)
	if len(r.Drawings) != 3 {
		t.Fatalf("%d drawings, want 3", len(r.Drawings))
	}
	for _, d := range r.Drawings {
		checkDrawing(t, d)
		if d.H > 120 {
			t.Errorf("%s is %v mm high", d.ID, d.H)
		}
	}
	// The first stick with a bend: 10 ft of pipe, its first mark at 3 ft.
	var pipe, mark draw.Line
	for _, it := range r.Drawings[0].Items {
		if l, ok := it.(draw.Line); ok && l.Layer == "pipe" {
			pipe = l
		}
		if l, ok := it.(draw.Line); ok && l.Layer == "mark" && mark.Layer == "" {
			mark = l
		}
	}
	if share := (mark.Pts[0].X - pipe.Pts[0].X) / (pipe.Pts[1].X - pipe.Pts[0].X); math.Abs(share-0.3) > 1e-9 {
		t.Errorf("the mark stands at %v of the pipe, want 0.3", share)
	}
}

// A factory run is set and not bent: 8 sticks, a sweep, 6 sticks, a sweep.
func TestFactoryRun(t *testing.T) {
	r := made(t, example(t, "fiber-entry"))
	if len(r.Drawings) != 0 || len(r.Sticks) != 15 {
		t.Errorf("%d drawings, %d sticks", len(r.Drawings), len(r.Sticks))
	}
	if got := strings.Join(column(r.Table("work.bends.fiber-1"), "piece"), " | "); got != "lengths 1 to 8 | sweep | lengths 9 to 14 | sweep | length 15 | wall" {
		t.Errorf("%s", got)
	}
	// Heated on site it is bent: the pipe is warmed evenly for 30 s for each
	// half inch of trade size, 120 s for 2 in, and nobody holds a torch to it.
	hot := made(t, strings.Replace(example(t, "fiber-entry"), "made: sweep", "made: heated", 1))
	notes := strings.Join(column(hot.Table("work.bends.fiber-1"), "notes"), " ")
	if len(hot.Drawings) != 1 || !strings.Contains(notes, "heat evenly at least 120 s") || !slices.Contains(hot.Topics, work.HeatedPVC) || slices.Contains(r.Topics, work.HeatedPVC) {
		t.Errorf("%d drawings; %s; %v", len(hot.Drawings), notes, hot.Topics)
	}
}

// Where work can hurt somebody, the words for it are there.
func TestCautions(t *testing.T) {
	must := map[work.Topic][]string{
		work.Weld:       {"dry", "glove", "leans over", "no water in the trench", "burns is moved", "fuel pipe", "tank", "vent", "battery room", "zinc", "upwind", "burn-ban", "fire authority", "phone", "misfire", "one person", "burning pack", "hot", "altered", "permit", "fire watch"},
		work.Dig:        {"ticket", "private lines", "overhead", "by hand", "every day", "competent person", "whatever its depth", "4 ft", "ladder", "5 ft", "cap"},
		work.Core:       {"both faces", "post-tensioned", "stop", "wet", "vacuum", "silica", "below"},
		work.Vault:      {"air", "alone"},
		work.Roof:       {"fall protection", "flame", "membrane", "roofer"},
		work.Antenna:    {"radio-frequency plan"},
		work.Battery:    {"insulated tools", "air"},
		work.Grounds:    {"meter the current", "voltage across the gap", "jumper", "first", "live service", "kill"},
		work.EarthTest:  {"live", "two people"},
		work.Service:    {"main off", "auto-start", "locked out", "one place"},
		work.Stripped:   {"live", "leave"},
		work.Weather:    {"thunder", "flash", "wire", "stakes", "30 min"},
		work.HeatedPVC:  {"burn", "fume", "torch"},
		work.Reels:      {"two people"},
		work.ResultSeen: {"beside it"},
		work.Design:     {"estimate", "layers", "step and touch", "engineer", "corrosion", "anchors", "coated steel"},
		work.Everywhere: {"local code", "ahj", "licensed person", "not permission", "photos"},
	}
	if len(work.Topics()) != len(must) {
		t.Errorf("%d topics, want %d", len(work.Topics()), len(must))
	}
	for topic, words := range must {
		var all []string
		for _, c := range work.Cautions(topic) {
			all = append(all, c.String())
			if len(c.String()) > 140 {
				t.Errorf("%s: too long to be read at a trench: %q", topic, c)
			}
		}
		text := strings.ToLower(strings.Join(all, " "))
		for _, w := range words {
			if !strings.Contains(text, w) {
				t.Errorf("%s: no word of %q", topic, w)
			}
		}
	}
	// They stand on the sheets that they concern.
	r := made(t, compoundA(t))
	for _, p := range r.Pages {
		want := map[string]work.Topic{"Welds": work.Weld, "Trench and rods": work.Dig}[p.Title]
		if want == "" {
			continue
		}
		l, ok := p.Blocks[0].(sheet.List)
		if !ok || l.Lines[0] != work.Cautions(want)[0].String() {
			t.Errorf("%s does not begin with its cautions", p.Title)
		}
	}
	for _, want := range []work.Topic{work.Weld, work.Dig, work.Grounds, work.Service, work.Weather, work.Reels, work.Everywhere} {
		if !slices.Contains(r.Topics, want) {
			t.Errorf("compound A: no %s", want)
		}
	}
	for _, no := range []work.Topic{work.Roof, work.Core, work.HeatedPVC, work.Vault} {
		if slices.Contains(r.Topics, no) {
			t.Errorf("compound A has nothing to do with %s", no)
		}
	}
}

// Every string that is printed speaks like a foreman with the book open.
func TestVoice(t *testing.T) {
	sites := []string{compoundA(t), strings.Replace(compoundA(t), "units: us", "units: si", 1), example(t, "fiber-entry"), example(t, "fiber-entry-moved"), powerRun, "format: 1\nname: Nothing yet\nunits: us\n"}
	for _, src := range sites {
		r := made(t, src)
		var all []string
		all = append(append(all, r.First...), r.Text...)
		tables := slices.Concat(r.Tables, r.Registers)
		for _, p := range slices.Concat(r.Pages, r.Book) {
			all = append(all, p.Title, p.Purpose)
			for _, b := range p.Blocks {
				switch b := b.(type) {
				case sheet.List:
					all = append(append(all, b.Title), b.Lines...)
				case sheet.Table:
					tables = append(tables, b)
				}
			}
		}
		for _, tb := range tables {
			all = append(append(all, tb.Title, tb.Empty), tb.Notes...)
			for _, row := range tb.Rows {
				if len(row) != len(tb.Columns) {
					t.Errorf("%s: %d cells under %d heads", tb.ID, len(row), len(tb.Columns))
				}
				for _, c := range row {
					all = append(all, c.Text)
				}
			}
			if len(tb.Rows) == 0 && tb.Empty == "" && tb.Blank == 0 {
				t.Errorf("%s is empty and does not say why", tb.ID)
			}
		}
		for _, s := range all {
			low := " " + strings.ToLower(s) + " "
			for _, bad := range []string{"!", "please", "n/a", "oops", " nan", "inf ", "%!", "ensure", " error"} {
				if strings.Contains(low, bad) {
					t.Errorf("%q has %q", s, bad)
				}
			}
		}
	}
	r := made(t, "format: 1\nname: Nothing yet\nunits: us\n")
	if !strings.HasPrefix(r.First[0], "Nothing to do") {
		t.Errorf("an empty site says %q", r.First)
	}
}

// The same document gives the same sheets.
func TestSameTwice(t *testing.T) {
	for _, src := range []string{compoundA(t), powerRun} {
		a, b := made(t, src), made(t, src)
		for _, pair := range [][2]any{{a.Tables, b.Tables}, {a.Registers, b.Registers}, {a.First, b.First}, {a.Text, b.Text}, {a.Sticks, b.Sticks}, {a.Drawings, b.Drawings}} {
			if !reflect.DeepEqual(pair[0], pair[1]) {
				t.Error("two makings differ")
			}
		}
	}
}

// A ticket that ran out, or does not reach, is a hold; one that is valid and
// reaches is looked at.
func TestDigTicketHolds(t *testing.T) {
	v := view(t, compoundA(t))
	v.AsOf = "2026-11-25T07:00:00Z"
	first := func(until string, side float64) string {
		s := *v.Site
		s.State.Ticket = site.Ticket{Number: "T1", Until: until, Area: geom.Outline{{X: -20, Y: -20}, {X: side, Y: -20}, {X: side, Y: 40}, {X: -20, Y: 40}}}
		w := v
		w.Site, w.Plan = &s, plan.Make(&s)
		return strings.Join(work.Make(w).First, "\n")
	}
	for _, c := range []struct {
		until string
		side  float64
		says  string
		hold  bool
	}{
		{"2026-12-01", 40, "valid until 2026-12-01", false},
		{"2026-11-25", 40, "valid until 2026-11-25", false}, // its last day
		{"2026-11-24", 40, "HOLD: dig ticket T1 ran out on 2026-11-24", true},
		{"2026-12-01", 15, "HOLD: outside the area of the dig ticket: whip ", true}, // the tower taps lie 68 ft = 20.7 m east
		{"spring", 40, "valid until spring", false},
	} {
		got := first(c.until, c.side)
		if !strings.Contains(got, c.says) || strings.Contains(got, "HOLD") != c.hold {
			t.Errorf("%s, area to %v m: %s", c.until, c.side, got)
		}
	}
}
