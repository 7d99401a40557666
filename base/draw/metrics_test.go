package draw

import (
	"math"
	"strings"
	"testing"
	"unicode"

	"pgregory.net/rapid"
)

// The declared check of the table: the digits of each weight share one width,
// so that figures set under each other align.
func TestDigitsShareOneWidth(t *testing.T) {
	for _, bold := range []bool{false, true} {
		want := TextWidth("0", 1, bold)
		for _, d := range "123456789" {
			if got := TextWidth(string(d), 1, bold); got != want {
				t.Errorf("bold %v: %q is %g wide, 0 is %g", bold, d, got, want)
			}
		}
	}
}

// Latin-1 only: the face itself has a few rarer letters narrower in bold.
func TestBoldIsNotNarrower(t *testing.T) {
	for r := rune('!'); r < 0x100; r++ {
		if InFace(r) && TextWidth(string(r), 1, true) < TextWidth(string(r), 1, false)-1e-9 {
			t.Errorf("%q is narrower in bold", r)
		}
	}
}

// A letter height of 2.5 mm asks for an em of 2.5/0.729 mm: the capital height
// of the face is 1493 of 2048 units (OS/2 table of the font file).
func TestFontSize(t *testing.T) {
	if got, want := FontSize(2.5), 2.5/0.729; math.Abs(got-want) > 0.001 {
		t.Errorf("FontSize(2.5) = %g, want %g", got, want)
	}
}

func TestPrintable(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{"J14", "J14"},
		{"a\tb\nc", "a b c"},
		{"a\x1bb", "ab"},
		{"2 \u00bd ρ Ω °", "2 \u00bd ρ Ω °"},
		{"\U0001F600", "\uFFFD"},
		{"\u65e5", "\uFFFD"},
		{"", ""},
		{"\xff", "\uFFFD"},
	} {
		if got := Printable(c.in); got != c.want {
			t.Errorf("Printable(%q) = %q, want %q", c.in, got, c.want)
		}
	}
}

func TestTextBoxTurned(t *testing.T) {
	flat := Text{At: Pt{10, 20}, Size: 2.5, S: "36'-0\""}
	b := flat.Box()
	if b.X0 != 10 || b.Y1 <= 20 || b.Y0 >= 17.5 {
		t.Fatalf("flat box %+v", b)
	}
	w, h := b.X1-b.X0, b.Y1-b.Y0
	up := flat
	up.Turn = 90 // reads upwards: it rises from its place, which is at its foot
	u := up.Box()
	if math.Abs((u.X1-u.X0)-h) > 1e-9 || math.Abs((u.Y1-u.Y0)-w) > 1e-9 {
		t.Errorf("turned box %+v, flat %+v", u, b)
	}
	if math.Abs(u.Y1-20) > 1e-9 || u.Y0 > 20-w+1e-9 {
		t.Errorf("text turned by 90 does not read upwards: %+v", u)
	}
	for _, a := range []Anchor{Middle, End} {
		m := flat
		m.Anchor = a
		want := 10 - w/2*float64(a)
		if got := m.Box().X0; math.Abs(got-want) > 1e-9 {
			t.Errorf("anchor %d: left at %g, want %g", a, got, want)
		}
	}
}

func TestBounds(t *testing.T) {
	if _, ok := Bounds(nil); ok {
		t.Error("nothing has bounds")
	}
	// A half turn from the right over the bottom of the sheet to the left.
	b, ok := Bounds([]Item{Arc{C: Pt{50, 50}, R: 10, A0: 0, A1: 180, Pen: Pen{Width: 0.5}}})
	want := Box{40 - 0.25, 50 - 0.25, 60.25, 60.25}
	if !ok || math.Abs(b.X0-want.X0)+math.Abs(b.Y0-want.Y0)+math.Abs(b.X1-want.X1)+math.Abs(b.Y1-want.Y1) > 1e-9 {
		t.Errorf("half turn: %+v, want %+v", b, want)
	}
	rapid.Check(t, func(t *rapid.T) {
		a := Arc{C: Pt{0, 0}, R: 10, A0: rapid.Float64Range(-720, 720).Draw(t, "from"), A1: rapid.Float64Range(-720, 720).Draw(t, "to")}
		b, _ := Bounds([]Item{a})
		for i := range 101 {
			p, _ := Arc{R: 10, A0: a.A0 + (a.A1-a.A0)*float64(i)/100}.Ends()
			if !(Box{p.X, p.Y, p.X, p.Y}).Inside(b) {
				t.Fatalf("%+v is outside %+v", p, b)
			}
		}
	})
}

// The lines of a hatch cover the area's surface once per spacing: their
// length times the spacing is the area, by the trapezoid rule.
func TestHatchCoversTheArea(t *testing.T) {
	a := Area{Pts: []Pt{{0, 0}, {60, 0}, {60, 40}, {30, 15}, {0, 40}}, Hatch: 0.25}
	var sum float64
	for _, l := range a.HatchLines() {
		dx, dy := l[1].X-l[0].X, l[1].Y-l[0].Y
		if dx <= 0 || math.Abs(dx+dy) > 1e-9 {
			t.Fatalf("a line that does not rise to the right at 45 degrees: %+v", l)
		}
		sum += math.Hypot(dx, dy)
	}
	const want = 60*40 - 60*25/2 // rectangle less the notch
	if got := sum * 0.25; math.Abs(got-want) > 0.01*want {
		t.Errorf("hatch covers %g mm2 of %d", got, want)
	}
	if n := len((Area{Pts: a.Pts, Hatch: 1e-9}).HatchLines()); n > 3*maxHatch {
		t.Errorf("%d lines from a slip in the spacing", n)
	}
}

func TestLayersKeepEveryItem(t *testing.T) {
	d := Drawing{Items: []Item{Line{Layer: "b"}, Text{Layer: "a"}, Line{Layer: "b"}, Circle{}}}
	ls := d.Layers()
	if len(ls) != 3 || ls[0].Name != "b" || len(ls[0].Items) != 2 || ls[1].Name != "a" || ls[2].Name != "" {
		t.Errorf("layers %+v", ls)
	}
}

func TestWrapUnits(t *testing.T) {
	w := TextWidth("put a handhole into the 38", 2.5, false)
	got := Wrap("put a handhole into the 38 ft straight", w, 2.5, false)
	if len(got) != 2 || got[0] != "put a handhole into the" || got[1] != "38 ft straight" {
		t.Errorf("%q", got)
	}
	if got := Wrap(" \n ", 10, 2.5, false); got != nil {
		t.Errorf("blank text gives %q", got)
	}
}

func TestWrapProperties(t *testing.T) {
	sign := rapid.RuneFrom([]rune("abcdefghij JKLM  0123456789/-_.,\u00e9\u0301\u65e5\U0001F600ρ\n"))
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringOfN(sign, 0, 200, -1).Draw(t, "text")
		width := rapid.Float64Range(3, 80).Draw(t, "width")
		bold := rapid.Bool().Draw(t, "bold")
		lines := Wrap(s, width, 2.5, bold)
		bare := func(s string) string {
			return strings.Map(func(r rune) rune {
				if unicode.IsSpace(r) {
					return -1
				}
				return r
			}, s)
		}
		if got, want := bare(strings.Join(lines, "")), bare(s); got != want {
			t.Fatalf("lost text: %q, want %q", got, want)
		}
		for _, l := range lines {
			bases := 0
			for _, r := range l {
				if !unicode.Is(unicode.M, r) {
					bases++
				}
			}
			if w := TextWidth(l, 2.5, bold); w > width+1e-6 && bases > 1 {
				t.Fatalf("line %q is %g wide, of %g", l, w, width)
			}
		}
	})
}
