// Command stubup lays out, proves, orders, works, changes and hands over the
// grounding and the raceways of a small compound, from one site document.
//
// This package holds flags, wiring and exit codes only:
//
//	0  done, and no rule that binds by "shall" is broken
//	1  a rule that binds by "shall" is broken
//	2  the document or the arguments are wrong
//	3  the world failed: a file that cannot be read or written
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"slices"
	"strings"
	"time"

	"github.com/alecthomas/kong"

	"stubup"
	"stubup/base/diag"
)

// Exit codes.
const (
	exitDone   = 0
	exitBroken = 1
	exitWrong  = 2
	exitWorld  = 3
)

// exitError carries an exit code up to main.
type exitError struct {
	code int
	msg  string // printed to stderr unless empty
}

func (e *exitError) Error() string { return e.msg }

// world is what a verb may touch.
type world struct {
	ctx    context.Context
	in     io.Reader
	out    io.Writer
	err    io.Writer
	color  bool // stdout is a terminal and NO_COLOR is not set
	tty    bool // stderr is a terminal
	width  int
	now    func() time.Time
	getenv func(string) string
}

type cli struct {
	Layout   layoutCmd   `cmd:"" help:"Where does it all go? Drawings and the one point list."`
	Prove    proveCmd    `cmd:"" help:"Does it meet code, owner and target? Findings and resistance."`
	Order    orderCmd    `cmd:"" help:"What exactly do I buy? The bill, by pack."`
	Work     workCmd     `cmd:"" help:"What do we do today? Weld list, rods, bend sheets, registers."`
	Change   changeCmd   `cmd:"" help:"They moved it: what does that do? Two revisions compared."`
	Handover handoverCmd `cmd:"" help:"Can it be accepted? The closeout package as one PDF."`
	Check    checkCmd    `cmd:"" help:"Read the document only, and say what is wrong with it."`
	Init     initCmd     `cmd:"" help:"Write a commented starter site."`
	Calc     calcCmd     `cmd:"" passthrough:"" help:"Pocket calculations: fill, bend, offset, drop, rod ..."`
	Serve    serveCmd    `cmd:"" help:"Serve the pages and the sites on this computer."`
	Backup   backupCmd   `cmd:"" help:"Copy the store into one file, and read it back."`
	Restore  restoreCmd  `cmd:"" help:"Put a backup into an empty folder."`
	OpenAPI  openapiCmd  `cmd:"" name:"openapi" hidden:"" help:"Print the description of the server's doors."`
	Version  versionCmd  `cmd:"" help:"Print the version."`
}

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	context.AfterFunc(ctx, stop) // a second Ctrl-C ends the program at once
	code := run(os.Args[1:], world{
		ctx: ctx, in: os.Stdin, out: os.Stdout, err: os.Stderr,
		color: isTerminal(os.Stdout) && os.Getenv("NO_COLOR") == "", tty: isTerminal(os.Stderr), width: 80, now: time.Now, getenv: os.Getenv,
	})
	stop()
	os.Exit(code)
}

func isTerminal(f *os.File) bool {
	st, err := f.Stat()
	return err == nil && st.Mode()&os.ModeCharDevice != 0
}

// run parses the arguments, runs one verb and returns the exit code.
func run(args []string, w world) (code int) {
	var c cli
	exited, exitCode := false, 0
	p, err := kong.New(&c, kong.Name("stubup"),
		kong.Description("Lay out, prove, order, work, change and hand over the grounding and raceways of a small compound.\n\nExample: stubup prove examples/compound-a.yaml"),
		kong.Writers(w.out, w.err), kong.Exit(func(n int) { exited, exitCode = true, n }),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true, NoExpandSubcommands: true, WrapUpperBound: 78}),
		kong.UsageOnError(), kong.Bind(&w))
	if err != nil {
		fmt.Fprintln(w.err, "stubup:", err)
		return exitWorld
	}
	if len(args) == 0 {
		args = []string{"--help"}
	}
	kctx, err := p.Parse(args)
	if exited {
		return exitCode
	}
	if err != nil {
		fmt.Fprintf(w.err, "stubup: %v\n  mend: see \"stubup --help\"\n", err)
		return exitWrong
	}
	err = kctx.Run(&w)
	var ee *exitError
	switch {
	case err == nil:
		return exitDone
	case errors.As(err, &ee):
		if ee.msg != "" {
			fmt.Fprintln(w.err, "stubup: "+ee.msg)
		}
		return ee.code
	}
	fmt.Fprintf(w.err, "stubup: %v\n", err)
	return exitWorld
}

// siteFlags are what every stage takes.
type siteFlags struct {
	Site  string `arg:"" help:"The site document (YAML); - reads standard input." placeholder:"SITE.yaml"`
	Out   string `short:"o" placeholder:"DIR" help:"Write the stage's files into DIR."`
	JSON  bool   `name:"json" help:"Print the result for machines."`
	Plain bool   `help:"Print one fact a line, for speech and grep."`
	AsOf  string `name:"as-of" placeholder:"TIME" help:"The moment reported on (RFC 3339); default now."`
}

// moment returns the time that is reported on.
func (w *world) moment(flag string) (string, error) {
	if flag == "" {
		return w.now().UTC().Truncate(time.Minute).Format(time.RFC3339), nil
	}
	t, err := time.Parse(time.RFC3339, flag)
	if err != nil {
		return "", &exitError{exitWrong, fmt.Sprintf("--as-of %q is not a time\n  mend: write it like 2026-03-01T07:00:00Z", flag)}
	}
	return t.Format(time.RFC3339), nil
}

// maxSite is a little over what the document may have, so that the document's
// own message is the one that is read.
const maxSite = 3 << 20

// read reads a site document.
func (w *world) read(name string) ([]byte, error) {
	var r io.Reader = w.in
	if name != "-" {
		f, err := os.Open(name)
		if err != nil {
			return nil, &exitError{exitWorld, fmt.Sprintf("%v\n  mend: give the path of a site document; \"stubup init\" writes one", unwrapPath(err))}
		}
		defer f.Close()
		if st, err := f.Stat(); err == nil && st.IsDir() {
			return nil, &exitError{exitWorld, fmt.Sprintf("%s is a folder\n  mend: name the site document in it", name)}
		}
		r = f
	}
	b, err := io.ReadAll(io.LimitReader(r, maxSite))
	if err != nil {
		return nil, &exitError{exitWorld, fmt.Sprintf("%s: %v", name, err)}
	}
	return b, nil
}

func unwrapPath(err error) string {
	var pe *os.PathError
	if errors.As(err, &pe) {
		return fmt.Sprintf("%s: %v", pe.Path, pe.Err)
	}
	return err.Error()
}

// evaluate reads and evaluates a document, and prints its diags.
func (w *world) evaluate(f siteFlags) (*stubup.Result, error) {
	return w.evaluateFile(f.Site, f.AsOf)
}

func (w *world) evaluateFile(name, asOf string) (*stubup.Result, error) {
	src, err := w.read(name)
	if err != nil {
		return nil, err
	}
	at, err := w.moment(asOf)
	if err != nil {
		return nil, err
	}
	file := name
	if name == "-" {
		file = "standard input"
	}
	r := stubup.Evaluate(w.ctx, stubup.Input{Name: file, Site: src, AsOf: at})
	w.diags(r.Diags, src)
	return r, nil
}

// diags prints what is wrong. Where there is more than a person reads, what
// is about the whole document comes first, and the rest is counted.
func (w *world) diags(ds diag.List, src []byte) {
	const most = 50
	if len(ds) > most {
		whole := func(d diag.Diag) bool { return d.Code == diag.Syntax || d.Code == diag.TooBig || d.Code == diag.Alias }
		ds = slices.Clone(ds)
		slices.SortStableFunc(ds, func(a, b diag.Diag) int {
			switch {
			case whole(a) == whole(b):
				return 0
			case whole(a):
				return -1
			}
			return 1
		})
	}
	for i, d := range ds {
		if i == most {
			fmt.Fprintf(w.err, "... and %d more\n", len(ds)-i)
			break
		}
		fmt.Fprint(w.err, d.Show(src))
	}
}

// verdict turns a result into an exit code: the document first, then the
// rules.
func verdict(r *stubup.Result) error {
	switch {
	case r.Diags.HasError():
		return &exitError{code: exitWrong}
	case r.Broken():
		return &exitError{code: exitBroken}
	}
	return nil
}

// progress says on a terminal that something takes long. It prints nothing
// within half a second, and nothing at all into a pipe.
func (w *world) progress(what string) (done func()) {
	if !w.tty {
		return func() {}
	}
	stop, gone := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(gone)
		select {
		case <-stop:
			return
		case <-time.After(500 * time.Millisecond):
		}
		fmt.Fprintf(w.err, "%s ...\r", what)
		<-stop
		fmt.Fprint(w.err, strings.Repeat(" ", len(what)+4)+"\r")
	}()
	return func() { close(stop); <-gone }
}
