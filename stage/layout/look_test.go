package layout

import (
	"bytes"
	"os"
	"testing"

	"stubup/internal/render/svg"
)

func TestLook(t *testing.T) {
	dir := os.Getenv("LOOK")
	if dir == "" {
		t.Skip("no LOOK")
	}
	r := Make(view(compoundA()))
	var b bytes.Buffer
	if err := svg.Write(&b, r.Plan); err != nil {
		t.Fatal(err)
	}
	os.WriteFile(dir+"/plan.svg", b.Bytes(), 0o644)
	for _, d := range r.Runs {
		var b bytes.Buffer
		if err := svg.Write(&b, d); err != nil {
			t.Fatal(err)
		}
		os.WriteFile(dir+"/"+d.ID+".svg", b.Bytes(), 0o644)
	}
}
