package issue_test

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"stubup/internal/issue"
	"stubup/rule"
	"stubup/site"
)

// sites are the examples, the reference compound in metres, and what a site
// begins from.
func sites(t *testing.T) map[string][]byte {
	t.Helper()
	paths, err := filepath.Glob("../../examples/*.yaml")
	if err != nil || len(paths) < 3 {
		t.Fatalf("found %d examples: %v", len(paths), err)
	}
	out := map[string][]byte{"starter": site.Starter(), "blank": site.Blank(), "blank in metres": site.BlankSI(), "only a name": []byte("format: 1\nname: New site\n")}
	for _, p := range paths {
		out[filepath.Base(p)] = []byte(read(t, p))
	}
	metres := strings.Replace(string(out["compound-a.yaml"]), "units: us", "units: si", 1)
	if metres == string(out["compound-a.yaml"]) {
		t.Fatal("the example does not say its units so")
	}
	out["compound A in metres"] = []byte(metres)
	return out
}

// A package is a draft while anything is open, and every one of its pages says
// so once. No document alone makes a final one: every joint, rod, whip and run
// asks for its record, and a site with none of them has nothing to hand over.
//
// And what is broken or cannot be told says what to do or what is missing, in
// more than a word, as does each item that keeps the package from being final.
func TestEverySiteAsItIsHandedOut(t *testing.T) {
	for name, src := range sites(t) {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r := evaluate(t, src)
			h := r.Handover()
			if len(h.Open) == 0 || !h.Book.Draft || !strings.HasPrefix(h.Summary[0], "draft: ") {
				t.Errorf("%d items are open, draft %v, said %q", len(h.Open), h.Book.Draft, h.Summary[0])
			}
			for _, f := range r.Prove().Findings {
				if (f.Outcome == rule.Broken || f.Outcome == rule.CannotTell) && len(strings.Fields(f.Mend)) < 2 {
					t.Errorf("%s: %s (%s), %s: the mend is %q", f.Outcome, f.Rule.Title, f.Rule.ID, f.Path, f.Mend)
				}
			}
			for _, o := range h.Open {
				if o.What == "" || len(strings.Fields(o.Do)) < 2 {
					t.Errorf("open: %q, to do: %q", o.What, o.Do)
				}
			}
			if _, err := exec.LookPath("pdftotext"); err != nil {
				t.Skip("the pages are not proven here: pdftotext")
			}
			s, _ := issue.Of(r, "handover")
			var b bytes.Buffer
			if s.Files[0].Type != issue.PDF {
				t.Fatalf("%s comes first", s.Files[0].Name)
			}
			if err := s.Files[0].Write(&b); err != nil {
				t.Fatal(err)
			}
			path := filepath.Join(t.TempDir(), "handover.pdf")
			if err := os.WriteFile(path, b.Bytes(), 0o600); err != nil {
				t.Fatal(err)
			}
			out, err := exec.Command("pdftotext", "-layout", path, "-").Output()
			if err != nil {
				t.Fatal(err)
			}
			pages := strings.Split(strings.TrimSuffix(string(out), "\f"), "\f")
			if len(pages) < len(h.Book.Pages) {
				t.Errorf("%d sheets of %d pages", len(pages), len(h.Book.Pages))
			}
			for n, p := range pages {
				if got := strings.Count(p, "draft, not final"); got != 1 {
					t.Errorf("page %d says %d times that it is a draft", n+1, got)
				}
			}
			// The cover says how many are open, and the list comes next.
			if !strings.Contains(pages[0], "items are open") && !strings.Contains(pages[0], "item is open") {
				t.Error("the cover does not say what is open")
			}
			if !strings.Contains(pages[1], "What is missing") {
				t.Errorf("the second page is not the list of what is missing: %.200s", pages[1])
			}
		})
	}
}
