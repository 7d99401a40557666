package layout

import (
	"os"
	"strings"
	"testing"

	"stubup/site"
)

// The ground system built here for the tests is that of the example shipped.
func TestExampleIsCompoundA(t *testing.T) {
	src, err := os.ReadFile("../../examples/compound-a.yaml")
	if err != nil {
		t.Fatal(err)
	}
	doc := site.Load("compound-a.yaml", src)
	r := Make(view(doc.Site))
	got, want := strings.Join(r.Summary, "\n"), strings.Join(Make(view(compoundA())).Summary, "\n")
	if !strings.HasPrefix(got, want) { // its runs come after
		t.Errorf("example:\n%s\nhere:\n%s", got, want)
	}
	checkSheet(t, "example", r.Plan)
	checkPoints(t, "example", view(doc.Site), r.Plan)
	for _, d := range r.Runs {
		checkSheet(t, "example "+d.ID, d)
	}
}
