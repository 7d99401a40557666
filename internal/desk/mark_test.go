package desk

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"stubup/answer"
	"stubup/rule"
	"stubup/rule/all"
)

// What is told at once waits for no solve: it is the same where every solve is
// cancelled before it begins, and the rules that are late are those that differ.
func TestMarksAtOnceWaitForNoSolve(t *testing.T) {
	files, _ := filepath.Glob("../../examples/*.yaml")
	if len(files) < 3 {
		t.Fatalf("%d examples", len(files))
	}
	texts := map[string][]byte{}
	for _, file := range files {
		b, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		texts[file] = b
	}
	// The owner's margin and the handbook's target as well.
	a := string(texts["../../examples/compound-a.yaml"])
	more := strings.Replace(strings.Replace(a, "adopted:\n", "adopted:\n  - mil-hdbk-419a 1987\n", 1), "  rules:\n", "  rules:\n    - margin: 10 %\n      source: the owner's standard, 4\n", 1)
	texts["with a margin"] = []byte(more)
	ended, end := context.WithCancel(context.Background())
	end()
	waited := map[string]bool{}
	for file, b := range texts {
		d := &Desk{}
		d.Open("site.yaml", b, "2026-05-04T07:00:00-05:00")
		dead := d.res.View
		dead.Answer = answer.New(ended, d.res.Plan)
		for _, r := range all.Rules() {
			said := func(v rule.View) (out []string) {
				for _, f := range rule.Run(v, []*rule.Rule{r}) {
					out = append(out, f.Outcome.String()+" "+f.Path+" "+f.Found+" "+f.Margin+" "+f.Note)
				}
				return out
			}
			if live, cut := said(d.res.View), said(dead); !slices.Equal(live, cut) {
				waited[r.ID] = true
				if !isLate(r) {
					t.Errorf("%s, %s waits for a solve:\n%q\n%q", file, r.ID, live, cut)
				}
			}
		}
	}
	for _, id := range []string{"owner.resistance-limit", "owner.margin", "mil-hdbk-419a.target"} {
		if !waited[id] {
			t.Errorf("%s does not wait where every solve is cancelled: the test sees nothing", id)
		}
	}
	for _, id := range late {
		if !slices.ContainsFunc(all.Rules(), func(r *rule.Rule) bool { return r.ID == id }) {
			t.Errorf("no rule is called %s", id)
		}
	}
}

// A ring laid too shallow is marked on the ring by the very change, and is
// not once it is deep enough again.
func TestMarksFollowAChange(t *testing.T) {
	d := open(t, "compound-a.yaml")
	deep := func(ms []Mark) (n int) {
		for _, m := range ms {
			if m.Wrong && m.IDs[0] == "ring" && strings.Contains(m.Said, "at least 30 in") {
				n++
				if !m.Along || len(m.At) == 0 || m.Mend == "" || m.Later {
					t.Errorf("%+v", m)
				}
			}
		}
		return n
	}
	if n := deep(d.Marks(false)); n != 0 {
		t.Fatalf("%d marks at a ring that is deep enough", n)
	}
	back := make1(t, d, Gesture{Op: "set", Path: "ground.ring.depth", Text: "18 in"})
	if n := deep(d.Marks(false)); n == 0 {
		t.Errorf("a ring 18 in deep is not marked: %+v", d.Marks(false))
	}
	if _, err := d.Edit(back); err != nil {
		t.Fatal(err)
	}
	if n := deep(d.Marks(true)); n != 0 {
		t.Errorf("%d marks after it was mended", n)
	}
}

// The whole has all that is told at once, and what is late beside it.
func TestMarksWhole(t *testing.T) {
	d := open(t, "compound-a.yaml")
	make1(t, d, Gesture{Op: "limit", Text: "2 ohm"})
	whole, now := d.Marks(true), d.Marks(false)
	n := 0
	for _, m := range whole {
		if m.Later {
			n++
			continue
		}
		if !slices.ContainsFunc(now, func(o Mark) bool { return o.Said == m.Said && slices.Equal(o.IDs, m.IDs) }) {
			t.Errorf("told late, though it needs no solve: %+v", m)
		}
	}
	if n == 0 || len(whole) != len(now)+n {
		t.Errorf("%d late, %d at once, %d in all", n, len(now), len(whole))
	}
}

// What is wrong with the document is marked at the object that it is written
// at.
func TestMarksOfTheDocument(t *testing.T) {
	d := open(t, "compound-a.yaml")
	text := strings.Replace(string(d.Text()), "  generator:\n", "  generator:\n    colour: red\n", 1)
	d.Open("site.yaml", []byte(text), "")
	for _, m := range d.Marks(false) {
		if m.IDs[0] == "generator" && strings.Contains(m.Said, "colour") {
			return
		}
	}
	t.Errorf("no mark at the generator: %+v of %+v", d.Marks(false), d.Head().Diags)
}
