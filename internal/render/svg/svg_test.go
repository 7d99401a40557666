package svg

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"stubup/base/draw"
)

// node is one element as a foreign reader, encoding/xml, sees it.
type node struct {
	XMLName xml.Name
	Attrs   []xml.Attr `xml:",any,attr"`
	Text    string     `xml:",chardata"`
	Nodes   []node     `xml:",any"`
}

func (n node) attr(name string) string {
	for _, a := range n.Attrs {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

func (n node) num(t *testing.T, name string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(n.attr(name), 64)
	if err != nil {
		t.Fatalf("%s of %s: %v", name, n.XMLName.Local, err)
	}
	return v
}

func parse(t *testing.T, d *draw.Drawing) node {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, d); err != nil {
		t.Fatal(err)
	}
	var root node
	if err := xml.Unmarshal(b.Bytes(), &root); err != nil {
		t.Fatalf("%v in\n%s", err, b.String())
	}
	return root
}

func sample() *draw.Drawing {
	d := &draw.Drawing{ID: "plan", Title: "Plan <of> \"Quarry & Hill\"", Desc: "A ring.", W: 247.65, H: 160}
	d.Add(
		draw.Line{
			Layer: "ring", ID: "ring", Pen: draw.Pen{Ink: draw.InkPencil, Width: 0.35, Dash: []float64{9, 5}}, Close: true,
			Pts: []draw.Pt{{X: 10, Y: 10}, {X: 110, Y: 10}, {X: 110, Y: 60}},
		},
		draw.Text{Layer: "names", ID: "R1", At: draw.Pt{X: 12, Y: 14}, Size: 2.5, S: "<script>alert(1)</script> & R1", Halo: true, Turn: 30, Bold: true},
		draw.Arc{Layer: "ring", Pen: draw.Pen{Width: 0.18}, C: draw.Pt{X: 50, Y: 50}, R: 10, A0: 0, A1: 270},
		draw.Circle{Layer: "rods", ID: "R1", C: draw.Pt{X: 10, Y: 10}, R: 2, Fill: true, FillInk: draw.InkPaper, Pen: draw.Pen{Width: 0.25}},
		draw.Area{Layer: "trench", ID: "T1", Pts: []draw.Pt{{X: 0, Y: 0}, {X: 20, Y: 0}, {X: 20, Y: 20}, {X: 0, Y: 20}}, Fill: true, FillInk: draw.InkTape, Hatch: 2, HatchPen: draw.Pen{Width: 0.18}},
	)
	return d
}

func TestStructure(t *testing.T) {
	root := parse(t, sample())
	if root.XMLName.Local != "svg" || root.attr("width") != "247.65mm" || root.attr("height") != "160mm" || root.attr("viewBox") != "0 0 247.65 160" {
		t.Errorf("size: %v", root.Attrs)
	}
	var layers []string
	var title, desc string
	for _, n := range root.Nodes {
		switch n.XMLName.Local {
		case "g":
			layers = append(layers, n.attr("data-layer"))
		case "title":
			title = n.Text
		case "desc":
			desc = n.Text
		}
	}
	if got := strings.Join(layers, " "); got != "ring names rods trench" {
		t.Errorf("layers: %s", got)
	}
	if title != sample().Title || desc != "A ring." {
		t.Errorf("title %q, desc %q", title, desc)
	}
	if root.attr("aria-labelledby") != "d-plan-title d-plan-desc" || root.attr("role") != "img" {
		t.Errorf("not named for a screen reader: %v", root.Attrs)
	}
}

func TestTextStaysText(t *testing.T) {
	root := parse(t, sample())
	found := false
	var walk func(node)
	walk = func(n node) {
		if n.XMLName.Local == "script" {
			t.Error("a name became an element")
		}
		if n.XMLName.Local == "text" {
			found = found || n.Text == "<script>alert(1)</script> & R1"
			if got := n.num(t, "font-size"); math.Abs(got-2.5/0.729) > 0.002 {
				t.Errorf("font size %g", got)
			}
			if n.attr("transform") != "rotate(-30 12 14)" {
				t.Errorf("turn: %s", n.attr("transform"))
			}
			if n.attr("data-id") != "R1" || !strings.Contains(n.attr("xml:space")+n.attr("space"), "preserve") {
				t.Errorf("%v", n.Attrs)
			}
		}
		for _, c := range n.Nodes {
			walk(c)
		}
	}
	walk(root)
	if !found {
		t.Error("the text is not there")
	}
}

func TestDashAndHatch(t *testing.T) {
	root := parse(t, sample())
	ring := root.Nodes[3].Nodes[0]
	if ring.XMLName.Local != "polygon" || ring.attr("stroke-dasharray") != "9 5" || ring.attr("stroke-width") != "0.35" || ring.attr("stroke") != "#6B7075" {
		t.Errorf("%v", ring.Attrs)
	}
	trench := root.Nodes[6]
	hatch := trench.Nodes[1]
	// A square of 20 mm hatched at 45 degrees every 2 mm: 28.3/2 lines.
	if n := strings.Count(hatch.attr("d"), "M"); n < 13 || n > 15 {
		t.Errorf("%d hatch lines", n)
	}
}

// The end of a three-quarter turn lies where the cosine says.
func TestArc(t *testing.T) {
	root := parse(t, sample())
	d := root.Nodes[3].Nodes[1].attr("d")
	if !strings.HasPrefix(d, "M60 50A10 10 0 0 1") || !strings.HasSuffix(d, " 50 40") {
		t.Errorf("%s", d)
	}
}

func TestPaperIsWhite(t *testing.T) {
	var b bytes.Buffer
	if err := Write(&b, sample()); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(b.String(), draw.InkPaper.Hex()) {
		t.Error("the screen's paper color is in a print")
	}
}

func TestRefusals(t *testing.T) {
	bad := sample()
	bad.Add(draw.Line{ID: "L9", Layer: "ring", Pen: draw.Pen{Width: 1}, Pts: []draw.Pt{{X: math.NaN()}, {}}})
	if err := Write(io.Discard, bad); err == nil || !strings.Contains(err.Error(), "L9") {
		t.Errorf("a place that is not a number: %v", err)
	}
	if err := Write(io.Discard, &draw.Drawing{}); err == nil {
		t.Error("a drawing without size")
	}
	full := errors.New("disk full")
	if err := Write(failing{full}, sample()); !errors.Is(err, full) {
		t.Errorf("%v", err)
	}
}

type failing struct{ err error }

func (f failing) Write([]byte) (int, error) { return 0, f.err }

func TestAnyTextIsWellFormedAndTheSame(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := rapid.OneOf(rapid.String(), rapid.Map(rapid.SliceOf(rapid.Byte()), func(b []byte) string { return string(b) })).Draw(rt, "text")
		d := &draw.Drawing{ID: s, Title: s, Desc: s, W: 10, H: 10}
		d.Add(draw.Text{Layer: s, ID: s, Size: 2.5, S: s}, draw.Line{Layer: s, ID: s, Pen: draw.Pen{Width: 1}, Pts: []draw.Pt{{}, {X: 1}}})
		var a, b bytes.Buffer
		if err := Write(&a, d); err != nil {
			rt.Fatal(err)
		}
		if err := Write(&b, d); err != nil || !bytes.Equal(a.Bytes(), b.Bytes()) {
			rt.Fatal("not the same bytes", err)
		}
		var root node
		if err := xml.Unmarshal(a.Bytes(), &root); err != nil {
			rt.Fatalf("%v in %s", err, a.String())
		}
	})
}

// Beside the library's own escaping: a reader of XML gets from both the same
// text, for any bytes at all.
func TestTextEscapes(t *testing.T) {
	read := func(s string) string {
		var out string
		if err := xml.Unmarshal([]byte(`<t a="`+s+`">`+s+`</t>`), &out); err != nil {
			t.Fatalf("%q: %v", s, err)
		}
		return out
	}
	rapid.Check(t, func(rt *rapid.T) {
		s := rapid.OneOf(rapid.String(), rapid.Map(rapid.SliceOf(rapid.Byte()), func(b []byte) string { return string(b) }),
			rapid.StringOf(rapid.RuneFrom([]rune("<>&\"'\t\n\r\x00\x1f\ufffe\uffffa")))).Draw(rt, "text")
		var want strings.Builder
		if err := xml.EscapeText(&want, []byte(s)); err != nil {
			rt.Fatal(err)
		}
		if got := text(s); read(got) != read(want.String()) {
			rt.Errorf("%q: %q, wanted %q", s, got, want.String())
		}
	})
}
