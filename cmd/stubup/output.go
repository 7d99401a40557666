package main

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"stubup/base/draw"
	"stubup/base/sheet"
	"stubup/internal/render/csv"
	"stubup/internal/render/svg"
	"stubup/internal/render/text"
)

// folder writes a stage's files into one directory.
type folder struct {
	dir   string
	names []string
}

func openFolder(dir string) (*folder, error) {
	if dir == "" {
		return nil, nil
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return nil, &exitError{exitWorld, unwrapPath(err) + "\n  mend: give -o a folder that can be written"}
	}
	return &folder{dir: dir}, nil
}

// write makes one file whole, or leaves the old one: it writes beside it and
// renames.
func (f *folder) write(name string, fill func(io.Writer) error) error {
	if f == nil {
		return nil
	}
	var b bytes.Buffer
	if err := fill(&b); err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	path := filepath.Join(f.dir, name)
	tmp, err := os.CreateTemp(f.dir, "."+name+".*")
	if err != nil {
		return &exitError{exitWorld, unwrapPath(err)}
	}
	_, err = tmp.Write(b.Bytes())
	if cerr := tmp.Close(); err == nil {
		err = cerr
	}
	if err == nil {
		err = os.Chmod(tmp.Name(), 0o644)
	}
	if err == nil {
		err = os.Rename(tmp.Name(), path)
	}
	if err != nil {
		os.Remove(tmp.Name())
		return &exitError{exitWorld, unwrapPath(err)}
	}
	f.names = append(f.names, path)
	return nil
}

func (f *folder) drawing(d *draw.Drawing) error {
	return f.write(d.ID+".svg", func(w io.Writer) error { return svg.Write(w, d) })
}

func (f *folder) table(name string, t sheet.Table) error {
	return f.write(name+".csv", func(w io.Writer) error { return csv.Write(w, t) })
}

// said lists what was written, on the terminal form only.
func (f *folder) said(w io.Writer) {
	if f == nil {
		return
	}
	for _, n := range f.names {
		fmt.Fprintln(w, "wrote", n)
	}
}

// show prints short lines, then blocks, on the terminal or one fact a line.
func (w *world) show(f siteFlags, title string, lines []string, blocks []sheet.Block) error {
	b := &sheet.Book{Title: title, Pages: []sheet.Page{{Blocks: []sheet.Block{}}}}
	if len(lines) > 0 {
		b.Pages[0].Blocks = append(b.Pages[0].Blocks, sheet.List{Lines: lines})
	}
	b.Pages[0].Blocks = append(b.Pages[0].Blocks, blocks...)
	if f.Plain {
		return text.Plain(w.out, b)
	}
	return text.Book(w.out, b, text.Style{Width: w.width, Color: w.color})
}

func blocks(ts []sheet.Table) []sheet.Block {
	out := make([]sheet.Block, 0, len(ts))
	for _, t := range ts {
		out = append(out, t)
	}
	return out
}
