// Command testsum reads the events of "go test -json" and prints what a
// person wants of them: each package as it ends, the whole output of what
// failed, what was not proven here for want of a tool, and one closing line.
package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
)

type event struct {
	Action     string
	Package    string
	Test       string
	Output     string
	Elapsed    float64
	ImportPath string
}

// notProven is what a test prints before it skips for want of a tool.
const notProven = "not proven here: "

type summary struct {
	passed, failed, skipped int
	missing                 []string
	output                  map[string]*strings.Builder
	broken                  []string // packages that failed
}

func (s *summary) read(r io.Reader, w io.Writer) error {
	in := bufio.NewScanner(r)
	in.Buffer(make([]byte, 1<<20), 1<<26)
	for in.Scan() {
		var e event
		if json.Unmarshal(in.Bytes(), &e) != nil {
			fmt.Fprintln(w, in.Text())
			continue
		}
		s.take(e, w)
	}
	return in.Err()
}

func (s *summary) take(e event, w io.Writer) {
	if e.Package == "" {
		e.Package = e.ImportPath // a build failure
	}
	key := e.Package + " " + e.Test
	switch e.Action {
	case "output", "build-output":
		if s.output[key] == nil {
			s.output[key] = &strings.Builder{}
		}
		s.output[key].WriteString(e.Output)
		if i := strings.Index(e.Output, notProven); i >= 0 {
			name := strings.TrimSpace(e.Output[i+len(notProven):])
			if !slices.Contains(s.missing, name) {
				s.missing = append(s.missing, name)
			}
		}
	case "pass":
		if e.Test != "" {
			s.passed++
			delete(s.output, key)
		} else {
			fmt.Fprintf(w, "ok    %7.2fs %s\n", e.Elapsed, e.Package)
		}
	case "skip":
		if e.Test != "" {
			s.skipped++
			fmt.Fprintf(w, "skip  %s: %s\n", key, reason(s.output[key]))
		}
	case "fail", "build-fail":
		if e.Test != "" {
			s.failed++
		} else {
			s.broken = append(s.broken, e.Package)
			fmt.Fprintf(w, "FAIL  %7.2fs %s\n", e.Elapsed, e.Package)
		}
		if o := s.output[key]; o != nil {
			fmt.Fprint(w, o.String())
		}
	}
}

// reason is the last line that a skipped test said.
func reason(b *strings.Builder) string {
	if b == nil {
		return "no reason printed"
	}
	lines := strings.Split(strings.TrimSpace(b.String()), "\n")
	for _, l := range slices.Backward(lines) {
		if l = strings.TrimSpace(l); l != "" && !strings.HasPrefix(l, "---") {
			return l
		}
	}
	return "no reason printed"
}

func main() {
	s := summary{output: map[string]*strings.Builder{}}
	if err := s.read(os.Stdin, os.Stdout); err != nil {
		fmt.Fprintln(os.Stderr, "testsum:", err)
		os.Exit(1)
	}
	for _, m := range s.missing {
		fmt.Println(notProven + m)
	}
	ci := os.Getenv("CI") != "" && os.Getenv("CI") != "false" && os.Getenv("CI") != "0"
	fmt.Printf("%d not proven here\n", len(s.missing))
	fmt.Printf("%d passed, %d failed, %d skipped\n", s.passed, s.failed, s.skipped)
	if s.failed > 0 || len(s.broken) > 0 || s.passed == 0 || ci && len(s.missing) > 0 {
		os.Exit(1)
	}
}
