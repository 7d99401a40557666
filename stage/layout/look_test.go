package layout

import (
	"bytes"
	"fmt"
	"os"
	"testing"

	"stubup/internal/render/svg"
	"stubup/site"
)

func TestLook(t *testing.T) {
	dir := os.Getenv("LOOK")
	if dir == "" {
		t.Skip("no LOOK")
	}
	for name, s := range map[string]*site.Site{"a": compoundA(), "b": compoundB(), "r6": randomSite(6), "r13": randomSite(13)} {
		r := Make(view(s))
		for i, d := range append(r.Runs, r.Plan) {
			var b bytes.Buffer
			if err := svg.Write(&b, d); err != nil {
				t.Fatal(err)
			}
			os.WriteFile(fmt.Sprintf("%s/%s-%d-%s.svg", dir, name, i, d.ID), b.Bytes(), 0o644)
		}
		fmt.Println(name)
		for _, l := range r.Summary {
			fmt.Println("  ", l)
		}
	}
}
