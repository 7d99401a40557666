// Package svg writes a drawing as Scalable Vector Graphics 1.1 in true
// millimetres on white paper. Every mark on it is a real line, arc, polygon
// or text; nothing is fetched, nothing runs, and the same drawing gives the
// same bytes.
package svg

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"stubup/base/draw"
)

// fontStack names the printing face first; every text also states its length,
// so that it takes the same room in another face.
const fontStack = `'DejaVu Sans Condensed','DejaVu Sans',sans-serif`

// haloPad is how far the ground of a text reaches past its letters, mm.
const haloPad = 0.3

// Write writes the drawing. It fails when the size or a place is not a number.
func Write(w io.Writer, d *draw.Drawing) error {
	if d == nil {
		return fmt.Errorf("svg: no drawing")
	}
	if !(d.W > 0 && d.H > 0) || math.IsInf(d.W+d.H, 0) {
		return fmt.Errorf("svg: drawing %q is %g by %g mm", d.ID, d.W, d.H)
	}
	p := &page{id: idOf(d.ID)}
	p.raw(`<?xml version="1.0" encoding="UTF-8"?>` + "\n")
	p.raw(`<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="`, p.n(d.W), `mm" height="`, p.n(d.H),
		`mm" viewBox="0 0 `, p.n(d.W), " ", p.n(d.H), `" role="img" aria-labelledby="`, p.id, `-title `, p.id, `-desc">`+"\n")
	p.raw(`<title id="`, p.id, `-title">`, text(d.Title), "</title>\n")
	p.raw(`<desc id="`, p.id, `-desc">`, text(d.Desc), "</desc>\n")
	p.raw(`<rect width="`, p.n(d.W), `" height="`, p.n(d.H), `" fill="#FFFFFF"/>`+"\n")
	for _, l := range d.Layers() {
		p.raw(`<g data-layer="`, text(l.Name), `" fill="none" stroke-linejoin="round" font-family="`, fontStack, `">`+"\n")
		for _, it := range l.Items {
			p.item(it)
		}
		p.raw("</g>\n")
	}
	p.raw("</svg>\n")
	if p.bad != "" {
		return fmt.Errorf("svg: drawing %q: %s", d.ID, p.bad)
	}
	_, err := io.WriteString(w, p.b.String())
	return err
}

type page struct {
	b   strings.Builder
	id  string
	now string // what is being written, for the error
	bad string
}

func (p *page) raw(parts ...string) {
	for _, s := range parts {
		p.b.WriteString(s)
	}
}

// n prints a length to a thousandth of a millimetre, without trailing zeros.
func (p *page) n(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		if p.bad == "" {
			p.bad = p.now + ": a place that is not a number"
		}
		return "0"
	}
	s := strconv.FormatFloat(v, 'f', 3, 64)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" {
		s = "0"
	}
	return s
}

// text escapes for element content and attribute values alike; signs that XML
// does not allow become the replacement sign.
func text(s string) string {
	var b strings.Builder
	for _, r := range s { // bytes that are no UTF-8 arrive as U+FFFD
		switch {
		case r == '&':
			b.WriteString("&amp;")
		case r == '<':
			b.WriteString("&lt;")
		case r == '>':
			b.WriteString("&gt;")
		case r == '"':
			b.WriteString("&#34;")
		case r == '\'':
			b.WriteString("&#39;")
		case r == '\t', r == '\n', r == '\r':
			b.WriteString("&#" + strconv.Itoa(int(r)) + ";")
		case r < ' ', r == 0xFFFE, r == 0xFFFF:
			b.WriteRune(0xFFFD)
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

// idOf makes a drawing's id fit for an XML id.
func idOf(s string) string {
	s = strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '-' || r == '_' {
			return r
		}
		return '-'
	}, s)
	return "d-" + s
}

// hex is an ink on white paper.
func hex(i draw.Ink) string {
	if i == draw.InkPaper {
		return "#FFFFFF"
	}
	return i.Hex()
}

func (p *page) open(name, id string) {
	p.raw("<", name)
	if id != "" {
		p.raw(` data-id="`, text(id), `"`)
	}
}

func (p *page) pen(pen draw.Pen) {
	if pen.Width <= 0 {
		return
	}
	p.raw(` stroke="`, hex(pen.Ink), `" stroke-width="`, p.n(pen.Width), `"`)
	if len(pen.Dash) > 0 {
		p.raw(` stroke-dasharray="`)
		for i, v := range pen.Dash {
			if i > 0 {
				p.raw(" ")
			}
			p.raw(p.n(v))
		}
		p.raw(`"`)
	}
}

func (p *page) points(pts []draw.Pt) {
	p.raw(` points="`)
	for i, q := range pts {
		if i > 0 {
			p.raw(" ")
		}
		p.raw(p.n(q.X), ",", p.n(q.Y))
	}
	p.raw(`"`)
}

func (p *page) item(it draw.Item) {
	switch v := it.(type) {
	case draw.Line:
		p.now = "line " + v.ID + " on layer " + v.Layer
		name := "polyline"
		if v.Close {
			name = "polygon"
		}
		p.open(name, v.ID)
		p.points(v.Pts)
		p.pen(v.Pen)
		p.raw("/>\n")
	case draw.Arc:
		p.now = "arc " + v.ID + " on layer " + v.Layer
		p.open("path", v.ID)
		p.raw(` d="`, p.arc(v), `"`)
		p.pen(v.Pen)
		p.raw("/>\n")
	case draw.Circle:
		p.now = "circle " + v.ID + " on layer " + v.Layer
		p.open("circle", v.ID)
		p.raw(` cx="`, p.n(v.C.X), `" cy="`, p.n(v.C.Y), `" r="`, p.n(v.R), `"`)
		if v.Fill {
			p.raw(` fill="`, hex(v.FillInk), `"`)
		}
		p.pen(v.Pen)
		p.raw("/>\n")
	case draw.Area:
		p.now = "area " + v.ID + " on layer " + v.Layer
		if v.Fill {
			p.open("polygon", v.ID)
			p.points(v.Pts)
			p.raw(` fill="`, hex(v.FillInk), `"/>`+"\n")
		}
		if lines := v.HatchLines(); len(lines) > 0 {
			p.open("path", v.ID)
			p.raw(` d="`)
			for _, l := range lines {
				p.raw("M", p.n(l[0].X), " ", p.n(l[0].Y), "L", p.n(l[1].X), " ", p.n(l[1].Y))
			}
			p.raw(`"`)
			p.pen(v.HatchPen)
			p.raw("/>\n")
		}
	case draw.Text:
		p.now = "text " + v.ID + " on layer " + v.Layer
		p.text(v)
	}
}

// ArcPath returns an arc as path data, the same that Write writes.
func ArcPath(a draw.Arc) string { return (&page{}).arc(a) }

// arc is cut into pieces of at most 180 degrees, which the path command tells
// apart without doubt; a whole turn closes too.
func (p *page) arc(a draw.Arc) string {
	from, _ := a.Ends()
	var b strings.Builder
	b.WriteString("M" + p.n(from.X) + " " + p.n(from.Y))
	sweep, way := a.A1-a.A0, "1"
	if sweep < 0 {
		way = "0"
	}
	if math.IsNaN(sweep) || math.Abs(sweep) > 3600 {
		p.n(math.NaN())
		return b.String()
	}
	n := int(math.Max(1, math.Ceil(math.Abs(sweep)/180-1e-9)))
	r := p.n(a.R)
	for i := 1; i <= n; i++ {
		part := a
		part.A1 = a.A0 + sweep*float64(i)/float64(n)
		_, to := part.Ends()
		b.WriteString("A" + r + " " + r + " 0 0 " + way + " " + p.n(to.X) + " " + p.n(to.Y))
	}
	return b.String()
}

func (p *page) text(t draw.Text) {
	if t.S == "" {
		return
	}
	if t.Halo {
		flat := t
		flat.Turn = 0
		b := flat.Box().Grow(haloPad)
		p.raw(`<rect x="`, p.n(b.X0), `" y="`, p.n(b.Y0), `" width="`, p.n(b.X1-b.X0), `" height="`, p.n(b.Y1-b.Y0), `" fill="#FFFFFF"`)
		p.turn(t)
		p.raw("/>\n")
	}
	p.open("text", t.ID)
	p.raw(` x="`, p.n(t.At.X), `" y="`, p.n(t.At.Y), `" font-size="`, p.n(draw.FontSize(t.Size)), `" fill="`, hex(draw.InkText), `"`)
	switch t.Anchor {
	case draw.Middle:
		p.raw(` text-anchor="middle"`)
	case draw.End:
		p.raw(` text-anchor="end"`)
	}
	if t.Bold {
		p.raw(` font-weight="bold"`)
	}
	p.turn(t)
	p.raw(` textLength="`, p.n(draw.TextWidth(t.S, t.Size, t.Bold)), `" lengthAdjust="spacingAndGlyphs" xml:space="preserve">`, text(t.S), "</text>\n")
}

func (p *page) turn(t draw.Text) {
	if t.Turn != 0 {
		p.raw(` transform="rotate(`, p.n(-t.Turn), " ", p.n(t.At.X), " ", p.n(t.At.Y), `)"`)
	}
}
