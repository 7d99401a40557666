package main

import (
	"fmt"
	"os"

	"stubup"
	"stubup/internal/issue"
	"stubup/internal/wire"
	"stubup/site"
)

type changeCmd struct {
	Old   string `arg:"" help:"The revision that stands." placeholder:"OLD.yaml"`
	New   string `arg:"" help:"The revision asked for." placeholder:"NEW.yaml"`
	Out   string `short:"o" placeholder:"DIR" help:"Write the stage's files into DIR."`
	JSON  bool   `name:"json" help:"Print the result for machines."`
	Plain bool   `help:"Print one fact a line, for speech and grep."`
	AsOf  string `name:"as-of" placeholder:"TIME" help:"The moment reported on (RFC 3339); default now."`
}

func (changeCmd) Help() string {
	return "Example: stubup change examples/fiber-entry.yaml examples/fiber-entry-moved.yaml"
}

func (c *changeCmd) Run(w *world) error {
	defer w.progress("comparing")()
	old, err := w.evaluateFile(c.Old, c.AsOf)
	if err != nil {
		return err
	}
	new, err := w.evaluateFile(c.New, c.AsOf)
	if err != nil {
		return err
	}
	ch := stubup.Change(old, new)
	f := siteFlags{Plain: c.Plain, JSON: c.JSON}
	out, err := openFolder(c.Out)
	if err != nil {
		return err
	}
	if err := out.files(issue.Change(old, new).Files); err != nil {
		return err
	}

	err = w.stage(f, new, "change", ch.Summary, ch.Tables, out)
	if old.Diags.HasError() {
		return &exitError{code: exitWrong}
	}
	return err
}

type handoverCmd struct{ siteFlags }

func (handoverCmd) Help() string { return "Example: stubup handover examples/compound-a.yaml -o out" }

func (c *handoverCmd) Run(w *world) error {
	defer w.progress("binding the package")()
	r, err := w.evaluate(c.siteFlags)
	if err != nil {
		return err
	}
	h := r.Handover()
	out, err := openFolder(c.Out)
	if err != nil {
		return err
	}
	if err := out.stage(r, "handover"); err != nil {
		return err
	}

	return w.stage(c.siteFlags, r, "handover", h.Summary, h.Tables, out)
}

type checkCmd struct {
	Site string `arg:"" help:"The site document (YAML); - reads standard input." placeholder:"SITE.yaml"`
	JSON bool   `name:"json" help:"Print the result for machines."`
}

func (checkCmd) Help() string { return "Example: stubup check examples/compound-a.yaml" }

func (c *checkCmd) Run(w *world) error {
	src, err := w.read(c.Site)
	if err != nil {
		return err
	}
	at, _ := w.moment("")
	name := c.Site
	if name == "-" {
		name = "standard input"
	}
	r := stubup.Evaluate(w.ctx, stubup.Input{Name: name, Site: src, AsOf: at})
	w.diags(r.Diags, src)
	if c.JSON {
		b, err := wire.Check(r)
		if err != nil {
			return err
		}
		if _, err := w.out.Write(b); err != nil {
			return err
		}
	} else {
		n := 0
		for _, d := range r.Diags {
			if d.Level == 0 {
				n++
			}
		}
		fmt.Fprintf(w.out, "%s: %d to mend, %d warnings; %d objects, %d runs, %d points\n", name, n, len(r.Diags)-n, len(r.Document.Site.Objects), len(r.Document.Site.Runs), len(r.Plan.Points))
	}
	if r.Diags.HasError() {
		return &exitError{code: exitWrong}
	}
	return nil
}

type initCmd struct {
	Path  string `arg:"" optional:"" default:"site.yaml" help:"Where to write it." placeholder:"SITE.yaml"`
	Force bool   `help:"Write over a file that is there."`
}

func (initCmd) Help() string { return "Example: stubup init my-site.yaml" }

func (c *initCmd) Run(w *world) error {
	if c.Path == "-" {
		_, err := w.out.Write(site.Starter())
		return err
	}
	flags := os.O_WRONLY | os.O_CREATE | os.O_EXCL
	if c.Force {
		flags = os.O_WRONLY | os.O_CREATE | os.O_TRUNC
	}
	f, err := os.OpenFile(c.Path, flags, 0o644)
	if os.IsExist(err) {
		return &exitError{exitWrong, fmt.Sprintf("%s is there already\n  mend: give another name, or --force to write over it", c.Path)}
	}
	if err != nil {
		return &exitError{exitWorld, unwrapPath(err)}
	}
	_, err = f.Write(site.Starter())
	if cerr := f.Close(); err == nil {
		err = cerr
	}
	if err != nil {
		return &exitError{exitWorld, unwrapPath(err)}
	}
	fmt.Fprintf(w.out, "wrote %s\nnext: stubup prove %s\n", c.Path, c.Path)
	return nil
}

type versionCmd struct{}

func (versionCmd) Help() string { return "Example: stubup version" }

func (versionCmd) Run(w *world) error {
	fmt.Fprintf(w.out, "stubup %s, site format %d\n", stubup.Version, stubup.Format)
	return nil
}
