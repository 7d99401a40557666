package work_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"stubup/base/geom"
	"stubup/base/unit"
	"stubup/stage/work"
)

const shoeRun = `format: 1
name: Shoe
units: us
grid: ft
benders:
  - {name: my bender, raceway: EMT 1 in, radius: 6 in, take-up: 8 in, marks: [10, 22.5, 30, 45, 90], end: 10 in, between: 3 in}
runs:
  r:
    service: power
    raceway: EMT 1 in
    start: [0, 0, 8]
    heading: east
    path:
`

func bends(t *testing.T, src string) (notes []string, all string, r work.Result) {
	t.Helper()
	r = made(t, src)
	tb := r.Table("work.bends.r")
	return column(tb, "notes"), strings.Join(append(column(tb, "notes"), tb.Notes...), "\n"), r
}

// The sheet by the person's own bender: arrows by its take-up on every bend,
// its marks first, and plain words where it cannot make a bend. By hand: the
// first arc starts at 36 in, its arrow 8 - 6 - 1.163/2 = 1.42 in before it, at
// 34.58 in, 2'-10 5/8" to an eighth.
func TestSheetOfMyBender(t *testing.T) {
	_, all, r := bends(t, shoeRun+`
      - straight: 36 in
        in: wall
      - bend: 30 left
        made: field
      - straight: 2 in
        in: wall
      - bend: 37 up
        made: field
      - straight: 5 in
        in: wall
`)
	for _, say := range []string{
		"my bender: take-up 8 in", "to the 30 mark", "no 37 mark on the shoe: between 30 and 45, by a level",
		"2 in from the bend before, the bender needs 3 in", "5 in of pipe behind the bend, the bender needs 10 in: leave it longer by 5 in, bend, then cut",
		"bender: my bender, radius 6 in, take-up 8 in", "marks for 10, 22.5, 30, 45, 90 deg",
	} {
		if !strings.Contains(all, say) {
			t.Errorf("the sheet does not say %q:\n%s", say, all)
		}
	}
	if strings.Contains(all, "no bender data") || strings.Contains(all, "not said of every bend") {
		t.Error(all)
	}
	// The second arc starts 36 + pi + 2 in from the end.
	if got := column(r.Table("work.bends.r"), "arrow at"); !slices.Equal(got, []string{`2'-10 5/8"`, `3'-3 3/4"`}) {
		t.Errorf("arrows at %q", got)
	}
	for _, d := range r.Drawings {
		checkDrawing(t, d)
	}
	want := 36 - (8 - 6 - 1.163/2)
	if b := r.Sticks[0].Bends[0]; math.Abs(b.Arrow.In()-want) > 1e-6 {
		t.Errorf("arrow at %v in, want %v", b.Arrow.In(), want)
	}
}

// Without a bender the sheet says where the radius is from; a bend drawn to
// another radius than the shoe's is told.
func TestSheetWithoutOrBesideABender(t *testing.T) {
	const path = "      - straight: 4 ft\n        in: wall\n      - bend: 90 left\n        radius: 9 in\n      - straight: 4 ft\n        in: wall\n"
	_, all, _ := bends(t, shoeRun+path)
	if !strings.Contains(all, "drawn to a radius of 9 in, this bender makes 6 in") || !strings.Contains(all, "factory elbow or field bend is not said of every bend") {
		t.Error(all)
	}
	_, all, _ = bends(t, strings.Replace(shoeRun, "EMT 1 in, radius", "EMT 2 in, radius", 1)+path)
	if !strings.Contains(all, "no bender data for EMT 1 in: radius from NFPA 70") {
		t.Error(all)
	}
}

// An offset of 12 in at 30 degrees on 6 in, exact by hand: the straight is
// (12 - 12 (1 - cos 30)) / sin 30 = 20.785 in and the arc pi, so the marks are
// 23.93 in apart; shrink 12 tan 15 - 12 (2 tan 15 - pi/6) = 3.068 in. By shop
// constants 24 and 3 in.
func TestOffsetWords(t *testing.T) {
	_, all, r := bends(t, shoeRun+"      - straight: 3 ft\n        in: wall\n      - offset: 12 in up\n        made: field\n      - straight: 3 ft\n        in: wall\n")
	if !strings.Contains(all, "offset 12 in at 30 deg: marks 23 15/16 in apart, shrink 3 1/16 in; by shop constants 24 in and 3 in") {
		t.Error(all)
	}
	if len(r.Sticks) != 1 || len(r.Sticks[0].Pairs) != 1 {
		t.Errorf("%+v", r.Sticks)
	}
}

// An offset that would meet a coupling is kept on one stick.
func TestOffsetStaysOnOneStick(t *testing.T) {
	_, _, r := bends(t, shoeRun+"      - straight: 9 ft\n        in: wall\n      - offset: 12 in up\n        made: field\n      - straight: 9 ft\n        in: wall\n")
	for _, s := range r.Sticks {
		if n := len(s.Bends); n == 1 {
			t.Errorf("%s has one bend of an offset", s.Name())
		}
		for i, b := range s.Bends {
			if b.Start.In() < 10-1e-6 && i == 0 || (s.Cut-b.End).In() < 10-1e-6 && i == len(s.Bends)-1 {
				t.Errorf("%s: a coupling within 10 in of a bend, which the bender needs", s.Name())
			}
		}
	}
}

// Heading east, left is north. After a bend to the left the run goes north and
// the next bend is up: seen along the pipe the bend before lies to the left
// when this one is made upward, so the pipe was turned counterclockwise.
func TestTurnOfThePipe(t *testing.T) {
	_, _, r := bends(t, shoeRun+"      - straight: 2 ft\n        in: wall\n      - bend: 90 left\n        made: field\n      - straight: 2 ft\n        in: wall\n      - bend: 90 up\n        made: field\n      - straight: 2 ft\n        in: wall\n")
	b := r.Sticks[0].Bends[1]
	if w := b.TurnWords(false); w != "90 up: pipe turned 90 deg counterclockwise, the bend before to the left" {
		t.Error(w)
	}
	if b.Roll != 90 {
		t.Errorf("the dial stands at %v", b.Roll)
	}
}

// A 3 in PVC bend of 45 degrees on 24 in, by hand: the outside arc is
// (24 + 1.75) pi/4 = 20.22 in, 11/16 in longer than the centerline on each side;
// 180 s; plugged above 2 in. On 15 in it is under Table 2's 18 in.
func TestHeatedRow(t *testing.T) {
	src := strings.Replace(shoeRun, "raceway: EMT 1 in\n    start: [0, 0, 8]", "raceway: PVC-40 3 in\n    start: [0, 0, -3]", 1) +
		"      - straight: 4 ft\n        in: trench\n      - bend: 45 left\n        radius: 24 in\n        made: heated\n      - straight: 4 ft\n        in: trench\n"
	_, all, r := bends(t, src)
	for _, say := range []string{"heat evenly at least 180 s, to about 250 F", "no torch", "heat 20 1/4 in of pipe, from 11/16 in before the mark", "plug both ends"} {
		if !strings.Contains(all, say) {
			t.Errorf("the sheet does not say %q:\n%s", say, all)
		}
	}
	if strings.Contains(all, "under the least") || strings.Contains(all, "my bender") || strings.Contains(all, "no bender data") {
		t.Error(all)
	}
	for _, d := range r.Drawings {
		checkDrawing(t, d)
	}
	_, all, _ = bends(t, strings.Replace(src, "24 in", "15 in", 1))
	if !strings.Contains(all, "radius 15 in is under the least for heat, 18 in") {
		t.Error(all)
	}
}

// Random runs of offsets with and without a roll, saddles of three and four
// bends and kicks, by a bender and without one, walked back from their marks.
func TestMarksOfOffsetsAndSaddles(t *testing.T) {
	sides := []string{"up", "down", "left", "right"}
	rapid.Check(t, func(rt *rapid.T) {
		var b strings.Builder
		head := shoeRun
		if rapid.Bool().Draw(rt, "no bender") {
			head = strings.Replace(head, "raceway: EMT 1 in, radius", "raceway: EMT 2 in, radius", 1)
		}
		b.WriteString(head)
		n := 0
		straight := func() {
			fmt.Fprintf(&b, "      - straight: %d in\n        in: wall\n", rapid.IntRange(20, 150).Draw(rt, "straight"))
		}
		straight()
		for range rapid.IntRange(1, 4).Draw(rt, "steps") {
			k := rapid.IntRange(0, 3).Draw(rt, "side")
			h := rapid.IntRange(4, 18).Draw(rt, "depth")
			switch rapid.SampledFrom([]string{"offset", "rolling", "saddle 3", "saddle 4", "kick"}).Draw(rt, "what") {
			case "offset":
				fmt.Fprintf(&b, "      - offset: %d in %s\n        made: field\n", h, sides[k])
				n += 2
			case "rolling":
				fmt.Fprintf(&b, "      - offset: %d in %s\n        roll: %d in %s\n        made: field\n", h, sides[k%2], rapid.IntRange(1, 12).Draw(rt, "roll"), sides[2+k/2])
				n += 2
			case "saddle 3":
				fmt.Fprintf(&b, "      - saddle: %d in %s\n        made: field\n", h, sides[k])
				n += 3
			case "saddle 4":
				fmt.Fprintf(&b, "      - saddle: %d in %s\n        bends: 4\n        made: field\n", h, sides[k])
				n += 4
			default:
				fmt.Fprintf(&b, "      - bend: %d %s\n        made: field\n", rapid.IntRange(3, 20).Draw(rt, "angle"), sides[k])
				n++
			}
			straight()
		}
		v := view(t, b.String())
		for _, d := range v.Plan.Diags {
			rt.Skip(d)
		}
		r := work.Make(v)
		run := v.Plan.Runs[0]
		if got := walkBack(rt, r, func(_ string, s unit.Metre) geom.Point3 { return run.At(s) }); got != n {
			rt.Errorf("%d bends are marked, %d drawn", got, n)
		}
		for _, d := range r.Drawings {
			checkDrawing(rt, d)
		}
	})
}
