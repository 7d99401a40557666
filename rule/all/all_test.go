package all_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"stubup/base/cite"
	"stubup/rule"
	"stubup/rule/all"
	"stubup/site"
)

var idShape = regexp.MustCompile(`^[a-z0-9-]+(\.[a-z0-9-]+)+$`)

func TestEveryRuleIsWhole(t *testing.T) {
	seen := map[string]bool{}
	works := map[string]bool{rule.Owner: true}
	for _, w := range site.Works {
		works[w] = true
	}
	forces := map[rule.Force]bool{rule.Shall: true, rule.Should: true, rule.Custom: true}
	perWork := map[string]int{}
	for _, r := range all.Rules() {
		if !idShape.MatchString(r.ID) || seen[r.ID] {
			t.Errorf("%q is no id, or is there twice", r.ID)
		}
		seen[r.ID] = true
		perWork[r.Work]++
		if !works[r.Work] {
			t.Errorf("%s: no site can adopt %q", r.ID, r.Work)
		}
		if !forces[r.Force] {
			t.Errorf("%s: force %q", r.ID, r.Force)
		}
		if r.Title == "" || r.Example == "" || r.Look == nil {
			t.Errorf("%s lacks a title, an example or a look", r.ID)
		}
		if r.Cite.Work == "" || r.Cite.Place == "" {
			t.Errorf("%s has no full citation: %+v", r.ID, r.Cite)
		}
		if r.Cite.Edition == "" && r.Work != rule.GoodPractice && r.Work != rule.Owner {
			t.Errorf("%s: its work has editions and none is named", r.ID)
		}
		f, ok := all.Figures()[r.Work]
		if !ok {
			t.Fatalf("%s: no figures of %s", r.ID, r.Work)
		}
		if _, ok := f.Table().Cell(r.Figure, "value"); !ok {
			t.Errorf("%s: no figure %q", r.ID, r.Figure)
		}
	}
	if len(seen) < 32 {
		t.Errorf("%d rules", len(seen))
	}
	t.Logf("%d rules: %v", len(seen), perWork)
}

// TestFromMemoryIsPrinted: a citation from memory says so wherever it is
// printed in full. The list is the grounding rules whose text was read; the
// rest must not pass for it.
func TestFromMemoryIsPrinted(t *testing.T) {
	read := map[string]bool{
		"nfpa70.250.53.ring-depth": true, "nfpa70.250.53.rod-contact": true, "nfpa70.250.52.rod-diameter": true, "nfpa70.250.64.splice": true,
		"nfpa70.300.bend-radius": true, "nfpa70.chapter9.fill": true, "nfpa70.300.5.cover": true, "nfpa70.300.5.ribbon": true, "nfpa70.352.44.expansion": true,
		"nfpa70.314.28.straight": true, "nfpa70.314.28.angle": true, "mil-hdbk-419a.concealed": true, "nesc.320.separation": true,
	}
	for _, r := range all.Rules() {
		if r.Work == rule.GoodPractice || r.Work == rule.Owner {
			continue
		}
		if got := r.Cite.Seen == cite.Read; got != read[r.ID] {
			t.Errorf("%s: citation is %s", r.ID, r.Cite.Seen)
		}
		if says := strings.Contains(r.Cite.Full(), "from memory"); says == read[r.ID] {
			t.Errorf("%s prints %q", r.ID, r.Cite.Full())
		}
	}
}

// plain are numbers that are no figure of a work: counts, indices, halves, a
// right or straight angle of geometry, a hundred for percent, and slack.
var plain = map[string]bool{"0": true, "1": true, "2": true, "3": true, "100": true, "180": true, "1e-6": true, "0.05": true, "10": true, "11": true, "13": true}

// ours are numbers with a meaning of our own, each with its reason.
var ours = map[string]string{
	"nfpa70/expansion.go:110": "a range of temperature no compound sees",
	"nesc/nesc.go:16":         "chords that an arc is cut into",
	"owner/ground.go:4":       "ordinals",
	"owner/ground.go:5":       "ordinals",
	"owner/ground.go:6":       "ordinals",
	"owner/ground.go:7":       "ordinals",
	"owner/ground.go:8":       "ordinals",
	"owner/ground.go:9":       "ordinals",
}

// TestNoRuleHasALiteralFigure reads the rules: every figure of a standard
// stands in a table beside them.
func TestNoRuleHasALiteralFigure(t *testing.T) {
	n := 0
	err := fs.WalkDir(os.DirFS(".."), ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") || !strings.Contains(path, "/") {
			return err
		}
		src, err := os.ReadFile(filepath.Join("..", path))
		if err != nil {
			return err
		}
		set := token.NewFileSet()
		f, err := parser.ParseFile(set, path, src, 0)
		if err != nil {
			return err
		}
		ast.Inspect(f, func(x ast.Node) bool {
			l, ok := x.(*ast.BasicLit)
			if !ok || (l.Kind != token.INT && l.Kind != token.FLOAT) {
				return true
			}
			n++
			if !plain[l.Value] && ours[path+":"+l.Value] == "" {
				t.Errorf("%s: the number %s stands in a rule", set.Position(l.Pos()), l.Value)
			}
			return true
		})
		return nil
	})
	if err != nil || n == 0 {
		t.Fatalf("%d numbers read: %v", n, err)
	}
}

// TestSameSiteSameFindings: the order of the objects and of the rules changes
// nothing but the order of the document.
func TestSameSiteSameFindings(t *testing.T) {
	a := rule.Run(view(t, yard+owner("resistance-limit: 5 ohm"), nil), all.Rules())
	rs := all.Rules()
	for i, j := 0, len(rs)-1; i < j; i, j = i+1, j-1 {
		rs[i], rs[j] = rs[j], rs[i]
	}
	b := rule.Run(view(t, yard+owner("resistance-limit: 5 ohm"), nil), rs)
	if len(a) != len(b) {
		t.Fatalf("%d and %d findings", len(a), len(b))
	}
	for i := range a {
		if a[i].Rule.ID != b[i].Rule.ID || a[i].Path != b[i].Path || a[i].Outcome != b[i].Outcome || a[i].Found != b[i].Found {
			t.Errorf("%d: %s %s and %s %s", i, a[i].Rule.ID, a[i].Path, b[i].Rule.ID, b[i].Path)
		}
	}
}

// TestEmptySite: nothing is broken on a site that has nothing, and no rule
// fails on it.
func TestEmptySite(t *testing.T) {
	for _, f := range rule.Run(view(t, head, nil), all.Rules()) {
		if f.Outcome != rule.NotApply {
			t.Errorf("%s %s: %s, %s", f.Outcome, f.Rule.ID, f.Required, f.Found)
		}
		if f.Note == "" {
			t.Errorf("%s does not say why it does not apply", f.Rule.ID)
		}
	}
}
