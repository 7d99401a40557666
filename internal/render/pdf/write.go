package pdf

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"strconv"
	"time"

	"codeberg.org/go-fonts/dejavu/dejavusanscondensed"
	"codeberg.org/go-fonts/dejavu/dejavusanscondensedbold"
	"codeberg.org/go-pdf/fpdf"

	"stubup/base/draw"
	"stubup/base/sheet"
)

// Write lays the book out and writes it. Book.Created is the only date in the
// file and must be given.
func Write(w io.Writer, b *sheet.Book) error {
	laid, err := Layout(b)
	if err != nil {
		return err
	}
	return laid.Write(w)
}

// points per millimetre
const k = 72 / mmPerInch

// family names the face inside the file.
const family = "plain"

// Write writes the pages as they were laid.
func (l *Laid) Write(w io.Writer) error {
	b := l.Book
	created, err := time.Parse(time.RFC3339, b.Created)
	if err != nil {
		return fmt.Errorf("pdf: the book's creation time %q: %w", b.Created, err)
	}
	doc := fpdf.NewCustom(&fpdf.InitType{
		UnitStr: "mm", OrientationStr: "P",
		Size: fpdf.SizeType{Wd: papersOf(b)[0].Width, Ht: papersOf(b)[0].Height},
	})
	doc.SetCatalogSort(true)
	doc.SetCreationDate(created.UTC())
	doc.SetModificationDate(created.UTC())
	doc.SetProducer("Stubup", true)
	doc.SetCreator("Stubup", true)
	doc.SetTitle(draw.Printable(b.Title), true)
	doc.SetSubject(draw.Printable(b.Sub), true)
	doc.SetLang("en-US")
	doc.SetMargins(0, 0, 0)
	doc.SetAutoPageBreak(false, 0)
	// The writer cuts the face down to the signs used; it gets its own copy.
	doc.AddUTF8FontFromBytes(family, "", bytes.Clone(dejavusanscondensed.TTF))
	doc.AddUTF8FontFromBytes(family, "B", bytes.Clone(dejavusanscondensedbold.TTF))
	doc.SetFont(family, "", 10)
	var as []fpdf.Attachment
	for _, a := range b.Attach {
		as = append(as, fpdf.Attachment{Content: a.Data, Filename: a.Name, Description: a.What})
	}
	doc.SetAttachments(as)

	last := l.Pages[len(l.Pages)-1].H
	for i := range l.Pages {
		pg := &l.Pages[i]
		doc.AddPageFormat("P", fpdf.SizeType{Wd: pg.W, Ht: pg.H})
		doc.SetLineJoinStyle("round")
		for _, m := range pg.Bookmarks {
			// The library turns the height of every mark over with the height
			// of the last page; this undoes it for pages of another size.
			doc.Bookmark(draw.Printable(m.Text), m.Level, last-pg.H)
		}
		p := &pen{doc: doc}
		for _, it := range pg.Items {
			p.item(it)
		}
		if p.err != nil {
			return fmt.Errorf("pdf: page %d: %w", i+1, p.err)
		}
	}
	if err := doc.Error(); err != nil {
		return fmt.Errorf("pdf: %w", err)
	}
	return doc.Output(w)
}

// pen paints items of the display list on the page in hand.
type pen struct {
	doc *fpdf.Fpdf
	err error
}

func rgb(i draw.Ink) (r, g, b int) {
	if i == draw.InkPaper {
		return 255, 255, 255
	}
	v, err := strconv.ParseUint(i.Hex()[1:], 16, 32)
	if err != nil {
		panic(err) // the inks are part of the program
	}
	return int(v >> 16), int(v >> 8 & 255), int(v & 255)
}

// up rounds a length up to the hundredth of a point that the file keeps, so
// that no line is thinner and no letter lower than asked.
func up(mm float64) float64 { return math.Ceil(mm*k*100-1e-6) / 100 / k }

// stroke sets the pen and says whether there is one.
func (p *pen) stroke(pen draw.Pen) bool {
	if pen.Width <= 0 {
		return false
	}
	p.doc.SetDrawColor(rgb(pen.Ink))
	p.doc.SetLineWidth(up(pen.Width))
	p.doc.SetDashPattern(pen.Dash, 0)
	return true
}

func (p *pen) finite(pts ...draw.Pt) bool {
	for _, q := range pts {
		if math.IsNaN(q.X+q.Y) || math.IsInf(q.X, 0) || math.IsInf(q.Y, 0) {
			if p.err == nil {
				p.err = fmt.Errorf("a place that is not a number")
			}
			return false
		}
	}
	return true
}

func (p *pen) path(pts []draw.Pt, closed bool) bool {
	if len(pts) < 2 || !p.finite(pts...) {
		return false
	}
	p.doc.MoveTo(pts[0].X, pts[0].Y)
	for _, q := range pts[1:] {
		p.doc.LineTo(q.X, q.Y)
	}
	if closed {
		p.doc.ClosePath()
	}
	return true
}

// arc adds an arc as Bezier curves of at most 45 degrees, which stay within
// 5e-6 of the radius.
func (p *pen) arc(a draw.Arc) bool {
	if !p.finite(a.C, draw.Pt{X: a.R, Y: a.A0}, draw.Pt{X: a.A1}) || math.Abs(a.A1-a.A0) > 3600 {
		return false
	}
	n := max(1, int(math.Ceil(math.Abs(a.A1-a.A0)/45-1e-9)))
	step := (a.A1 - a.A0) / float64(n) * math.Pi / 180
	h := 4.0 / 3 * math.Tan(step/4) * a.R
	start, _ := a.Ends()
	p.doc.MoveTo(start.X, start.Y)
	t := a.A0 * math.Pi / 180
	for range n {
		s0, c0 := math.Sincos(t)
		t += step
		s1, c1 := math.Sincos(t)
		x0, y0, x1, y1 := a.C.X+a.R*c0, a.C.Y+a.R*s0, a.C.X+a.R*c1, a.C.Y+a.R*s1
		p.doc.CurveBezierCubicTo(x0-h*s0, y0+h*c0, x1+h*s1, y1-h*c1, x1, y1)
	}
	return true
}

func (p *pen) item(it draw.Item) {
	switch v := it.(type) {
	case draw.Line:
		if p.stroke(v.Pen) && p.path(v.Pts, v.Close) {
			p.doc.DrawPath("D")
		}
	case draw.Arc:
		if p.stroke(v.Pen) && p.arc(v) {
			p.doc.DrawPath("D")
		}
	case draw.Circle:
		style := ""
		if v.Fill {
			p.doc.SetFillColor(rgb(v.FillInk))
			style = "F"
		}
		if p.stroke(v.Pen) {
			style += "D"
		}
		if style != "" && p.arc(draw.Arc{C: v.C, R: v.R, A1: 360}) {
			p.doc.ClosePath()
			p.doc.DrawPath(style)
		}
	case draw.Area:
		if v.Fill && len(v.Pts) > 2 {
			p.doc.SetFillColor(rgb(v.FillInk))
			if p.path(v.Pts, true) {
				p.doc.DrawPath("F*")
			}
		}
		if lines := v.HatchLines(); len(lines) > 0 && p.stroke(v.HatchPen) {
			for _, l := range lines {
				p.path(l[:], false)
			}
			p.doc.DrawPath("D")
		}
	case draw.Text:
		p.text(v)
	}
}

func (p *pen) text(t draw.Text) {
	s := draw.Printable(t.S)
	if s == "" || !p.finite(t.At) {
		return
	}
	if t.Halo {
		const pad = 0.3
		flat := t
		flat.Turn = 0
		b := flat.Box().Grow(pad)
		ground := make([]draw.Pt, 0, 4)
		sin, cos := math.Sincos(-t.Turn * math.Pi / 180)
		for _, c := range []draw.Pt{{X: b.X0, Y: b.Y0}, {X: b.X1, Y: b.Y0}, {X: b.X1, Y: b.Y1}, {X: b.X0, Y: b.Y1}} {
			dx, dy := c.X-t.At.X, c.Y-t.At.Y
			ground = append(ground, draw.Pt{X: t.At.X + dx*cos - dy*sin, Y: t.At.Y + dx*sin + dy*cos})
		}
		p.item(draw.Area{Pts: ground, Fill: true, FillInk: draw.InkPaper})
	}
	style := ""
	if t.Bold {
		style = "B"
	}
	p.doc.SetFont(family, style, up(draw.FontSize(t.Size))*k)
	p.doc.SetTextColor(rgb(draw.InkText))
	x := t.At.X
	switch w := draw.TextWidth(s, t.Size, t.Bold); t.Anchor {
	case draw.Middle:
		x -= w / 2
	case draw.End:
		x -= w
	}
	if t.Turn != 0 {
		p.doc.TransformBegin()
		p.doc.TransformRotate(t.Turn, t.At.X, t.At.Y)
		defer p.doc.TransformEnd()
	}
	p.doc.Text(x, t.At.Y, s)
}
