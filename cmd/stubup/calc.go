package main

import (
	"fmt"
	"io"
	"os"
	"slices"
	"strings"

	"stubup/base/diag"
	"stubup/base/sheet"
	"stubup/internal/render/text"
	"stubup/internal/wire"
	"stubup/sums"
)

// calcCmd hands its words on: each calculation has flags of its own.
type calcCmd struct {
	Words []string `arg:"" optional:"" help:"Which calculation, then its inputs as flags; without one they are listed."`
}

func (calcCmd) Help() string {
	return "Example: stubup calc offset --height 6 in --angle 30 deg --trade 1"
}

// maxCalc bounds what a calculation reads.
const maxCalc = 8 << 20

func (c *calcCmd) Run(w *world) error {
	words := c.Words
	if len(words) == 0 || isHelp(words[0]) {
		return w.listCalcs()
	}
	name, rest := words[0], words[1:]
	if s, ok := sums.Find(name); ok {
		return w.sum(s, rest)
	}
	for _, n := range wire.CalcNames() {
		if n.Name == name {
			return w.machine(n, rest)
		}
	}
	var have []string
	for _, s := range sums.All() {
		have = append(have, s.Name)
	}
	for _, n := range wire.CalcNames() {
		have = append(have, n.Name)
	}
	mend := "the calculations are " + strings.Join(have, ", ")
	if n, ok := diag.Nearest(name, have); ok {
		mend = fmt.Sprintf("is it %s? %s", n, mend)
	}
	return wrongArgs("there is no calculation %q\n  mend: %s", name, mend)
}

func wrongArgs(format string, a ...any) error {
	return &exitError{exitWrong, fmt.Sprintf(format, a...)}
}

func isHelp(word string) bool { return word == "--help" || word == "-h" }

// listCalcs says what there is, with an example each.
func (w *world) listCalcs() error {
	var b strings.Builder
	b.WriteString("Pocket calculations: stubup calc NAME --INPUT VALUE ...\n")
	b.WriteString("\"stubup calc NAME --help\" says what one takes; --json and --plain change the\n")
	b.WriteString("answer; JSON on standard input works too.\n\n")
	for _, s := range sums.All() {
		fmt.Fprintf(&b, "%-11s %s\n", s.Name, s.What)
		example(&b, "            ", s, w.width)
	}
	b.WriteString("\nFor machines, JSON in and out:\n\n")
	for _, n := range wire.CalcNames() {
		fmt.Fprintf(&b, "%-11s %s\n            %s\n", n.Name, n.What, n.Example)
	}
	_, err := io.WriteString(w.out, b.String())
	return err
}

// machine answers a calculation that reads and writes JSON only.
func (w *world) machine(n wire.CalcName, rest []string) error {
	if len(rest) > 0 {
		if isHelp(rest[0]) {
			_, err := fmt.Fprintf(w.out, "%s: %s\n%s\n", n.Name, n.What, n.Example)
			return err
		}
		return wrongArgs("calc %s takes no %q\n  mend: it reads JSON: %s", n.Name, rest[0], n.Example)
	}
	in, err := w.readCalc()
	if err != nil {
		return err
	}
	out, err := n.Run(in)
	if err != nil {
		return &exitError{exitWrong, err.Error()}
	}
	_, err = w.out.Write(out)
	return err
}

func (w *world) readCalc() ([]byte, error) {
	in, err := io.ReadAll(io.LimitReader(w.in, maxCalc+1))
	if err != nil {
		return nil, err
	}
	if len(in) > maxCalc {
		return nil, wrongArgs("the input is over 8 MiB\n  mend: split it")
	}
	return in, nil
}

// sum answers a pocket calculation from flags or, without any, from JSON on
// standard input.
func (w *world) sum(s *sums.Sum, words []string) error {
	f, err := parseSum(s, words)
	if err != nil {
		return err
	}
	if f.help {
		return w.sumHelp(s)
	}
	if f.json && f.plain {
		return wrongArgs("--json and --plain are given together\n  mend: choose one")
	}
	if len(f.entries) == 0 {
		in, err := w.piped()
		if err != nil {
			return err
		}
		if in != nil {
			if f.entries, err = wire.SumEntries(in); err != nil {
				return wrongArgs("calc %s: %s", s.Name, err)
			}
			f.json = !f.plain
		}
	}
	r, err := s.Run(f.entries)
	if err != nil {
		return wrongArgs("calc %s: %s\n  see \"stubup calc %s --help\"", s.Name, err, s.Name)
	}
	if f.json {
		out, err := wire.SumJSON(r)
		if err != nil {
			return err
		}
		_, err = w.out.Write(out)
		return err
	}
	if f.plain {
		return text.Plain(w.out, &sheet.Book{Title: s.Name + ": " + s.What, Pages: []sheet.Page{{Title: s.Name, Purpose: s.What, Blocks: r.Blocks(true)}}})
	}
	return w.sheets(s.Name+": "+s.What, r.Blocks(false))
}

// sheets prints a head and its blocks.
func (w *world) sheets(title string, bs []sheet.Block) error {
	style := text.Style{Width: w.width, Color: w.color}
	if err := text.Block(w.out, sheet.List{Title: title}, style); err != nil {
		return err
	}
	for _, b := range bs {
		if _, err := io.WriteString(w.out, "\n"); err != nil {
			return err
		}
		if err := text.Block(w.out, b, style); err != nil {
			return err
		}
	}
	return nil
}

// example writes a command line that can be pasted, broken where it is too
// wide.
func example(b *strings.Builder, indent string, s *sums.Sum, width int) {
	const more = " \\"
	line := indent + "stubup calc " + s.Name
	flags := strings.Split(sums.Line(s.Example()), " --")
	for i, f := range flags {
		if i > 0 {
			f = "--" + f
		}
		room := width
		if i < len(flags)-1 {
			room -= len(more)
		}
		if len(line)+1+len(f) > room {
			b.WriteString(line + more + "\n")
			line = indent + "   "
		}
		line += " " + f
	}
	b.WriteString(line + "\n")
}

// piped returns what stands on standard input, or nothing where a person sits
// at it or it is empty.
func (w *world) piped() ([]byte, error) {
	if f, ok := w.in.(*os.File); ok && isTerminal(f) {
		return nil, nil
	}
	in, err := w.readCalc()
	if err != nil || strings.TrimSpace(string(in)) == "" {
		return nil, err
	}
	return in, nil
}

type sumFlags struct {
	entries           []sums.Entry
	json, plain, help bool
}

// parseSum reads "--height 6 in --angle=30". A value runs to the next flag,
// so that a quantity needs no quotes; a yes or no flag alone says yes.
func parseSum(s *sums.Sum, words []string) (sumFlags, error) {
	var f sumFlags
	for i := 0; i < len(words); {
		word := words[i]
		i++
		name, ok := strings.CutPrefix(word, "--")
		if word == "-h" {
			name, ok = "help", true
		}
		if !ok || name == "" {
			return f, wrongArgs("calc %s: %q stands where a flag should\n  mend: write the inputs as flags: stubup calc %s %s", s.Name, word, s.Name, sums.Line(s.Example()))
		}
		name, value, has := strings.Cut(name, "=")
		var parts []string
		if has {
			parts = append(parts, value)
		}
		switch name {
		case "json":
			f.json = true
		case "plain":
			f.plain = true
		case "help":
			f.help = true
		}
		if slices.Contains([]string{"json", "plain", "help"}, name) {
			if has {
				return f, wrongArgs("calc %s: --%s takes no value", s.Name, name)
			}
			continue
		}
		for i < len(words) && !strings.HasPrefix(words[i], "--") && words[i] != "-h" {
			parts = append(parts, words[i])
			i++
		}
		if in, known := s.Input(name); known && in.Kind == sums.YesNo && len(parts) == 0 {
			parts = []string{"yes"}
		}
		f.entries = append(f.entries, sums.Entry{Name: name, Text: strings.Join(parts, " ")})
	}
	return f, nil
}

// sumHelp says what a calculation takes.
func (w *world) sumHelp(s *sums.Sum) error {
	t := sheet.Table{Columns: []sheet.Column{{Head: "flag"}, {Head: "what"}, {Head: "written as"}}}
	for _, in := range s.Inputs {
		what := in.Meaning
		switch {
		case in.Required:
			what += " (needed)"
		case in.Or != "":
			what += " (this or " + in.Or + ")"
		case in.Default != "":
			what += " (" + in.Default + " unless said)"
		}
		if in.Many {
			what += "; more than once if need be"
		}
		t.Rows = append(t.Rows, sheet.Row{sheet.T("--" + in.Name), sheet.T(what), sheet.T(in.Write())})
	}
	blocks := []sheet.Block{t}
	for _, in := range s.Inputs {
		if in.Kind != sums.Choice {
			continue
		}
		var lines []string
		for _, c := range in.Choices {
			if c.Means != "" && c.Means != c.Name {
				lines = append(lines, c.Name+": "+c.Means)
			}
		}
		if len(lines) > 0 {
			blocks = append(blocks, sheet.List{Title: "--" + in.Name, Lines: lines})
		}
	}
	blocks = append(blocks, sheet.List{Title: "also", Lines: []string{
		"--json: the answer for machines; --plain: one fact a line",
		"JSON on standard input: the same names, texts with units or numbers in SI",
	}})
	if err := w.sheets(s.Name+": "+s.What, blocks); err != nil {
		return err
	}
	var b strings.Builder
	b.WriteString("\nexample\n")
	example(&b, "", s, w.width)
	_, err := io.WriteString(w.out, b.String())
	return err
}
