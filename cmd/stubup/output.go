package main

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"stubup"
	"stubup/base/sheet"
	"stubup/internal/issue"
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

// writeAll writes bytes that are there.
func writeAll(b []byte) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := w.Write(b)
		return err
	}
}

// files writes the files of a stage.
func (f *folder) files(all []issue.File) error {
	if f == nil {
		return nil
	}
	for _, x := range all {
		if err := f.write(x.Name, x.Write); err != nil {
			return err
		}
	}
	return nil
}

func (f *folder) stage(r *stubup.Result, verb string) error {
	if f == nil {
		return nil
	}
	s, _ := issue.Of(r, verb)
	return f.files(s.Files)
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
