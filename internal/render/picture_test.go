package render_test

import (
	"bytes"
	"context"
	"os"
	"testing"

	"stubup"
	"stubup/internal/render/svg"
)

// The picture in the README is what the program draws. UPDATE_DOCS=1 rewrites
// it.
func TestPicture(t *testing.T) {
	src, err := os.ReadFile("../../examples/compound-a.yaml")
	if err != nil {
		t.Fatal(err)
	}
	r := stubup.Evaluate(context.Background(), stubup.Input{Name: "compound-a.yaml", Site: src, AsOf: "2026-01-05T07:00:00Z"})
	var b bytes.Buffer
	if err := svg.Write(&b, r.Layout().Plan); err != nil {
		t.Fatal(err)
	}
	const path = "../../docs/plan.svg"
	if os.Getenv("UPDATE_DOCS") != "" {
		if err := os.WriteFile(path, b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(want, b.Bytes()) {
		t.Errorf("%s is stale: run UPDATE_DOCS=1 go test ./internal/render", path)
	}
}
