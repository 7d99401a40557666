package main

import (
	"bytes"
	"fmt"
	"io"
	"path/filepath"

	"stubup"
	"stubup/base/sheet"
	"stubup/internal/issue"
	"stubup/internal/wire"
)

// title is what heads the terminal form of a stage.
func title(r *stubup.Result, verb string) string {
	return issue.Title(r, verb)
}

// stage prints one stage in the form asked for and returns its exit code.
func (w *world) stage(f siteFlags, r *stubup.Result, verb string, lines []string, tables []sheet.Table, out *folder) error {
	return w.stageAs(f, r, verb, lines, tables, blocks(tables), out)
}

// stageAs is stage with another form for the terminal than the tables.
func (w *world) stageAs(f siteFlags, r *stubup.Result, verb string, lines []string, tables []sheet.Table, screen []sheet.Block, out *folder) error {
	if f.JSON {
		b, err := wire.Stage(r, verb, lines, tables)
		if err != nil {
			return err
		}
		if _, err := w.out.Write(b); err != nil {
			return err
		}
		return verdict(r)
	}
	if err := w.show(f, title(r, verb), lines, screen); err != nil {
		return err
	}
	out.said(w.out)
	return verdict(r)
}

type layoutCmd struct {
	siteFlags
	Number bool `help:"Write the point numbers into the document, so that they stay with their points."`
}

func (layoutCmd) Help() string {
	return "Example: stubup layout examples/compound-a.yaml -o out\nBefore tags are hung: stubup layout my-site.yaml --number"
}

// number writes the numbers of the plan into the document, and nothing else.
func (c *layoutCmd) number(w *world, r *stubup.Result) error {
	if c.Site == "-" {
		return &exitError{exitWrong, "--number cannot write into standard input\n  mend: give the document as a file"}
	}
	if r.Diags.HasError() {
		return &exitError{exitWrong, "no number is written while the document has errors\n  mend: mend them first, so that a broken entry does not give its number away"}
	}
	doc, err := r.Document.WithNumbers(r.Plan.Numbers)
	if err != nil {
		return &exitError{exitWrong, err.Error()}
	}
	if bytes.Equal(doc.Src, r.Input.Site) {
		return nil
	}
	f := &folder{dir: filepath.Dir(c.Site)}
	return f.write(filepath.Base(c.Site), func(b io.Writer) error {
		_, err := b.Write(doc.Src)
		return err
	})
}

func (c *layoutCmd) Run(w *world) error {
	defer w.progress("laying out")()
	r, err := w.evaluate(c.siteFlags)
	if err != nil {
		return err
	}
	if c.Number {
		if err := c.number(w, r); err != nil {
			return err
		}
	}
	l := r.Layout()
	out, err := openFolder(c.Out)
	if err != nil {
		return err
	}
	if err := out.stage(r, "layout"); err != nil {
		return err
	}
	return w.stage(c.siteFlags, r, "layout", l.Summary, append([]sheet.Table{l.Points}, l.Tables...), out)
}

type proveCmd struct {
	siteFlags
	Why  string `placeholder:"PATH" help:"Say where one value comes from, e.g. ground.resistance.design."`
	Uses string `placeholder:"PATH" help:"Say what hangs on one value, e.g. ground.ring.depth."`
}

func (proveCmd) Help() string {
	return "Example: stubup prove examples/compound-a.yaml\nWhy a number: stubup prove examples/compound-a.yaml --why ground.resistance.design"
}

func (c *proveCmd) Run(w *world) error {
	defer w.progress("proving")()
	r, err := w.evaluate(c.siteFlags)
	if err != nil {
		return err
	}
	p := r.Prove()
	if path := c.Why + c.Uses; path != "" {
		v := p.Ledger.Get(path)
		if v == nil {
			return &exitError{exitWrong, fmt.Sprintf("no value is at %q\n  mend: \"stubup prove SITE.yaml --json\" lists the paths under \"values\"", path)}
		}
		if c.Why != "" {
			fmt.Fprint(w.out, v.Why())
			return nil
		}
		for _, u := range p.Ledger.Uses(path) {
			fmt.Fprintf(w.out, "%s = %s  [%s]\n", u.Name, u.Text, u.Path)
		}
		return nil
	}
	out, err := openFolder(c.Out)
	if err != nil {
		return err
	}
	if err := out.stage(r, "prove"); err != nil {
		return err
	}

	var screen []sheet.Block
	for _, l := range p.Said {
		screen = append(screen, l)
	}
	return w.stageAs(c.siteFlags, r, "prove", p.Verdict, p.Tables, append(screen, blocks(p.Tables[1:])...), out)
}

type orderCmd struct{ siteFlags }

func (orderCmd) Help() string { return "Example: stubup order examples/compound-a.yaml -o out" }

func (c *orderCmd) Run(w *world) error {
	defer w.progress("ordering")()
	r, err := w.evaluate(c.siteFlags)
	if err != nil {
		return err
	}
	o := r.Order()
	out, err := openFolder(c.Out)
	if err != nil {
		return err
	}
	if err := out.stage(r, "order"); err != nil {
		return err
	}

	return w.stage(c.siteFlags, r, "order", o.Text, o.Tables, out)
}

type workCmd struct{ siteFlags }

func (workCmd) Help() string { return "Example: stubup work examples/compound-a.yaml -o out" }

func (c *workCmd) Run(w *world) error {
	defer w.progress("making today's sheets")()
	r, err := w.evaluate(c.siteFlags)
	if err != nil {
		return err
	}
	k := r.Work()
	out, err := openFolder(c.Out)
	if err != nil {
		return err
	}
	if err := out.stage(r, "work"); err != nil {
		return err
	}

	return w.stage(c.siteFlags, r, "work", k.Text, k.Tables, out)
}
