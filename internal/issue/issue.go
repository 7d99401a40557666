// Package issue says what a stage hands out: a summary, tables, and files by
// name. The command writes the same files into a folder that the server hands
// out one by one.
package issue

import (
	"io"
	"slices"

	"stubup"
	"stubup/base/draw"
	"stubup/base/sheet"
	"stubup/internal/render/csv"
	"stubup/internal/render/pdf"
	"stubup/internal/render/svg"
	"stubup/internal/render/xlsx"
)

// Verbs are the stages in their order. Change is one of them, of two results.
var Verbs = []string{"layout", "prove", "order", "work", "change", "handover"}

// Types of the files that are handed out.
const (
	SVG  = "image/svg+xml"
	CSV  = "text/csv; charset=utf-8"
	XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
	PDF  = "application/pdf"
)

// File is one file of a stage. Its bytes are made by Write.
type File struct {
	Name  string
	Type  string
	Write func(io.Writer) error
}

// Stage is what one stage hands out.
type Stage struct {
	Verb    string
	Summary []string
	Tables  []sheet.Table
	Files   []File
}

func drawing(d *draw.Drawing) File {
	return File{d.ID + ".svg", SVG, func(w io.Writer) error { return svg.Write(w, d) }}
}

func table(name string, t sheet.Table) File {
	return File{name + ".csv", CSV, func(w io.Writer) error { return csv.Write(w, t) }}
}

// Title heads the terminal form and the workbook of a stage.
func Title(r *stubup.Result, verb string) string {
	name := r.Document.Site.Name
	if name == "" {
		name = r.Input.Name
	}
	if rev := r.Document.Site.Revision; rev != "" {
		name += ", revision " + rev
	}
	return name + ": " + verb + ", as of " + r.Input.AsOf
}

// Of returns one stage of a result; false for a word that is none, and for
// change, which needs two results.
func Of(r *stubup.Result, verb string) (Stage, bool) {
	s := Stage{Verb: verb}
	switch verb {
	case "layout":
		l := r.Layout()
		s.Summary, s.Tables = l.Summary, append([]sheet.Table{l.Points}, l.Tables...)
		if l.Plan != nil {
			s.Files = append(s.Files, drawing(l.Plan))
		}
		if l.Surface != nil {
			s.Files = append(s.Files, drawing(l.Surface))
		}
		for _, d := range l.Runs {
			s.Files = append(s.Files, drawing(d))
		}
		s.Files = append(s.Files, table("points", l.Points))
	case "prove":
		p := r.Prove()
		s.Summary, s.Tables = p.Verdict, p.Tables
		for _, t := range p.Tables {
			s.Files = append(s.Files, table(t.ID, t))
		}
	case "order":
		o := r.Order()
		s.Summary, s.Tables = o.Text, o.Tables
		sheets := append([]sheet.Table{o.List}, o.Tables[1:]...)
		s.Files = append(s.Files, File{"order.xlsx", XLSX, func(w io.Writer) error { return xlsx.Write(w, sheets, Title(r, verb)) }}, table("order", o.List))
		for _, t := range o.Tables[1:] {
			s.Files = append(s.Files, table(t.ID, t))
		}
	case "work":
		k := r.Work()
		s.Summary, s.Tables = k.Text, k.Tables
		for _, d := range k.Drawings {
			s.Files = append(s.Files, drawing(d))
		}
		for _, t := range slices.Concat(k.Tables, k.Registers) {
			s.Files = append(s.Files, table(t.ID, t))
		}
	case "handover":
		h := r.Handover()
		s.Summary, s.Tables = h.Summary, h.Tables
		s.Files = append(s.Files, File{"handover.pdf", PDF, func(w io.Writer) error { return pdf.Write(w, h.Book) }})
	default:
		return s, false
	}
	return s, true
}

// Change returns the stage that compares two revisions.
func Change(old, new *stubup.Result) Stage {
	c := stubup.Change(old, new)
	s := Stage{Verb: "change", Summary: c.Summary, Tables: c.Tables}
	for _, t := range c.Tables {
		s.Files = append(s.Files, table(t.ID, t))
	}
	return s
}
