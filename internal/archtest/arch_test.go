// Package archtest keeps the rooms of the house apart: which package may
// import which, and what a pure package may touch at all.
package archtest

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

type pkg struct {
	ImportPath string
	Dir        string
	Imports    []string
	Doc        string
	GoFiles    []string
}

func load(t *testing.T) []pkg {
	t.Helper()
	out, err := exec.Command("go", "list", "-json=ImportPath,Dir,Imports,Doc,GoFiles", "stubup/...").Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	var all []pkg
	dec := json.NewDecoder(strings.NewReader(string(out)))
	for {
		var p pkg
		if err := dec.Decode(&p); err == io.EOF {
			break
		} else if err != nil {
			t.Fatal(err)
		}
		if len(p.GoFiles) > 0 {
			all = append(all, p)
		}
	}
	if len(all) < 15 {
		t.Fatalf("only %d packages found; this test would prove nothing", len(all))
	}
	return all
}

// rooms from the ground up. A package may import from its own room and from
// the rooms named; the reason stands beside each.
var rooms = []struct {
	room    string
	imports []string
	why     string
}{
	{"stubup/base", nil, "plain words of quantity, citation, place and paper: they know no trade"},
	{"stubup/trade", []string{"stubup/base"}, "the library of the trade: plain quantities in and out; it knows no site"},
	{"stubup/sums", []string{"stubup/base", "stubup/trade"}, "pocket calculations: they know no site"},
	{"stubup/field", []string{"stubup/base"}, "the log outlives every plan: ids are strings, revisions are hashes"},
	{"stubup/site", []string{"stubup/base"}, "the document says what a person wrote, not what follows from it"},
	{"stubup/plan", []string{"stubup/base", "stubup/trade", "stubup/site"}, "the design follows from the document alone"},
	{"stubup/answer", []string{"stubup/base", "stubup/trade", "stubup/site", "stubup/plan"}, "what is computed of a plan does not know who asks"},
	{"stubup/rule", []string{"stubup/base", "stubup/trade", "stubup/site", "stubup/plan", "stubup/answer", "stubup/field"}, "rules look; they draw nothing and buy nothing"},
	{"stubup/stage", []string{"stubup/base", "stubup/trade", "stubup/site", "stubup/plan", "stubup/answer", "stubup/field", "stubup/rule"}, "a stage turns all that into lists; file formats are not its business"},
	{"stubup/internal", []string{"stubup"}, "the outer ring: formats, doors, stores"},
	{"stubup/cmd", []string{"stubup"}, "flags, wiring and exit codes only"},
	{"stubup/examples", nil, "the example sites as files"},
	{"stubup/web", nil, "the built pages as files"},
}

// order in which siblings may import each other: a package may import those
// that stand before it.
var siblings = map[string][]string{
	"stubup/base":  {"stable", "digest", "unit", "cite", "diag", "geom", "table", "trace", "draw", "sheet"},
	"stubup/trade": {"soil", "conductor", "raceway", "stock", "ground", "earthtest", "bond", "shock", "surge", "joint", "pull", "feeder", "route"},
	"stubup/stage": {"layout", "prove", "order", "work", "change", "handover"},
}

// forbidden in every pure package, with the reason.
var forbidden = map[string]string{
	"os":            "files come in as bytes or fs.FS",
	"net":           "no network",
	"net/http":      "no network, and it costs the browser 1.7 MB",
	"math/rand":     "the same input gives the same bytes",
	"math/rand/v2":  "the same input gives the same bytes",
	"crypto/rand":   "ids are arguments",
	"time":          "times are arguments, as text or numbers",
	"text/template": "it defeats the linker in the browser engine",
	"html/template": "it defeats the linker in the browser engine",
	"os/exec":       "no other programs",
	"database/sql":  "only a store knows SQL",
	"log":           "a pure package has nobody to tell",
	"log/slog":      "a pure package has nobody to tell",
	"path/filepath": "no file system",
}

// allowed by name, with the reason.
var exceptions = map[[2]string]string{
	{"stubup/site", "time"}: "reads what a person wrote as a time; it never asks for the time",
}

func room(path string) string {
	if path == "stubup" {
		return "stubup"
	}
	parts := strings.SplitN(path, "/", 3)
	return parts[0] + "/" + parts[1]
}

func pure(path string) bool {
	r := room(path)
	return r != "stubup/internal" && r != "stubup/cmd" && r != "stubup/web" && r != "stubup/examples" || strings.HasPrefix(path, "stubup/internal/wire")
}

func TestRooms(t *testing.T) {
	allowed := map[string][]string{}
	why := map[string]string{}
	for _, r := range rooms {
		allowed[r.room] = r.imports
		why[r.room] = r.why
	}
	for _, p := range load(t) {
		r := room(p.ImportPath)
		for _, imp := range p.Imports {
			if imp != "stubup" && !strings.HasPrefix(imp, "stubup/") {
				if _, ok := exceptions[[2]string{p.ImportPath, imp}]; ok {
					continue
				}
				if reason, bad := forbidden[imp]; bad && pure(p.ImportPath) {
					t.Errorf("%s imports %s: a pure package may not (%s)", p.ImportPath, imp, reason)
				}
				continue
			}
			if r == "stubup" { // the front door sees every pure room
				if ir := room(imp); ir == "stubup/internal" || ir == "stubup/cmd" {
					t.Errorf("the front door imports %s", imp)
				}
				continue
			}
			ir := room(imp)
			if ir == r {
				if err := sibling(r, p.ImportPath, imp); err != nil {
					t.Error(err)
				}
				continue
			}
			if _, known := allowed[r]; !known {
				t.Errorf("%s stands in no room; add one to the table with its reason", p.ImportPath)
				break
			}
			if slices.Contains(allowed[r], "stubup") {
				if ir == "stubup/cmd" {
					t.Errorf("%s imports %s", p.ImportPath, imp)
				}
				continue
			}
			if !slices.Contains(allowed[r], ir) {
				t.Errorf("%s imports %s: %s", p.ImportPath, imp, why[r])
			}
		}
	}
}

// No pure package asks for the time, whatever it imports.
func TestNoClock(t *testing.T) {
	for _, p := range load(t) {
		if !pure(p.ImportPath) {
			continue
		}
		for _, f := range p.GoFiles {
			src, err := os.ReadFile(filepath.Join(p.Dir, f))
			if err != nil {
				t.Fatal(err)
			}
			for _, call := range []string{"time.Now(", "time.Since(", "time.Sleep(", "time.After("} {
				if strings.Contains(string(src), call) {
					t.Errorf("%s/%s calls %s)", p.ImportPath, f, call)
				}
			}
		}
	}
}

func sibling(room, path, imp string) error {
	order, ok := siblings[room]
	if !ok {
		return nil
	}
	name := func(s string) string { return strings.SplitN(strings.TrimPrefix(s, room+"/"), "/", 2)[0] }
	a, b := slices.Index(order, name(path)), slices.Index(order, name(imp))
	if a < 0 || b < 0 {
		return fmt.Errorf("%s or %s is not in the order of %s", path, imp, room)
	}
	if b > a {
		return fmt.Errorf("%s imports %s, which stands after it in %s", path, imp, room)
	}
	return nil
}

// Rule folders may not look at each other: only rule/all lists them.
func TestRuleFolders(t *testing.T) {
	for _, p := range load(t) {
		if !strings.HasPrefix(p.ImportPath, "stubup/rule/") || p.ImportPath == "stubup/rule/all" {
			continue
		}
		for _, imp := range p.Imports {
			if strings.HasPrefix(imp, "stubup/rule/") {
				t.Errorf("%s imports %s: works are read side by side, never through each other", p.ImportPath, imp)
			}
		}
	}
}

func TestEveryPackageSaysWhatItIsFor(t *testing.T) {
	for _, p := range load(t) {
		if p.Doc == "" {
			t.Errorf("%s has no package comment", p.ImportPath)
		}
	}
}
