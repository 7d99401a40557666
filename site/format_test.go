package site

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "print the key tables of docs/format.md afresh")

const formatPage = "../docs/format.md"

// keyTable prints one shape as the page shows it.
func keyTable(s *Shape) string {
	var b strings.Builder
	fmt.Fprintf(&b, "`%s`: %s\n\n| key | value | |\n|---|---|---|\n", s.Name, s.Note)
	cell := strings.NewReplacer("|", "\\|")
	for _, k := range s.Keys {
		need := ""
		if k.Need {
			need = " (needed)"
		}
		fmt.Fprintf(&b, "| `%s`%s | %s | %s |\n", k.Name, need, cell.Replace(k.Value), cell.Replace(k.Note))
	}
	return b.String() + "\n"
}

// Every key that the decoder takes is on the page, as the program has it.
func TestFormatPageListsEveryKey(t *testing.T) {
	page, err := os.ReadFile(formatPage)
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	listed := map[string]int{}
	in := false
	for _, l := range strings.SplitAfter(string(page), "\n") {
		name, isKeys := strings.CutPrefix(l, "<!-- keys ")
		switch {
		case isKeys:
			name = strings.TrimSuffix(strings.TrimSpace(name), " -->")
			s := shapeIndex[name]
			if s == nil {
				t.Fatalf("the page lists %q, which is no shape", name)
			}
			listed[name]++
			in = true
			b.WriteString(l + keyTable(s))
		case strings.HasPrefix(l, "<!-- end -->"):
			in = false
			b.WriteString(l)
		case !in:
			b.WriteString(l)
		}
	}
	for _, s := range Shapes() {
		if listed[s.Name] != 1 {
			t.Errorf("shape %q stands %d times on the page", s.Name, listed[s.Name])
		}
	}
	if b.String() != string(page) {
		if *update {
			if err := os.WriteFile(formatPage, []byte(b.String()), 0o644); err != nil {
				t.Fatal(err)
			}
			return
		}
		t.Error("the key tables of docs/format.md are not those of the program; run the test with -update")
	}
}

// pageDocuments returns the yaml blocks of the page, those that follow each
// other as one document.
func pageDocuments(t testing.TB) []string {
	page, err := os.ReadFile(formatPage)
	if err != nil {
		t.Fatal(err)
	}
	var docs []string
	parts := strings.Split(string(page), "```yaml\n")
	for _, p := range parts[1:] {
		block, _, ok := strings.Cut(p, "```\n")
		if !ok {
			t.Fatal("a block is not closed")
		}
		if strings.HasPrefix(block, "format") || len(docs) == 0 {
			docs = append(docs, "")
		}
		docs[len(docs)-1] += block
	}
	return docs
}

// Every example on the page decodes without a diag, and together they use
// every key there is.
func TestFormatPageExamplesDecode(t *testing.T) {
	used := map[string]bool{}
	for i, doc := range pageDocuments(t) {
		d := load(fmt.Sprintf("example-%d", i), []byte(doc), false, func(shape, key string) { used[shape+" "+key] = true })
		for _, x := range d.Diags {
			t.Errorf("%s", x.Show(d.Src))
		}
	}
	for _, s := range Shapes() {
		for _, k := range s.Keys {
			if !used[s.Name+" "+k.Name] {
				t.Errorf("no example has %s: %s", s.Name, k.Name)
			}
		}
	}
}
