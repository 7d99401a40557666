// Package render_test looks at whole packages as they go on paper.
package render_test

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"testing"

	"stubup"
	"stubup/base/draw"
	"stubup/internal/render/pdf"
)

// Every text of every example's package lies inside its page, is at least
// 2.5 mm high, and overlaps no other.
func TestPackages(t *testing.T) {
	sites, err := filepath.Glob("../../examples/*.yaml")
	if err != nil || len(sites) < 3 {
		t.Fatalf("found %d examples: %v", len(sites), err)
	}
	for _, path := range sites {
		t.Run(filepath.Base(path), func(t *testing.T) {
			src, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			r := stubup.Evaluate(context.Background(), stubup.Input{Name: filepath.Base(path), Site: src, AsOf: "2026-01-05T07:00:00Z"})
			book := r.Handover().Book
			laid, err := pdf.Layout(book)
			if err != nil {
				t.Fatal(err)
			}
			if len(laid.Missing) > 0 {
				t.Errorf("signs that the face lacks: %q", string(laid.Missing))
			}
			for _, s := range laid.Spills {
				t.Errorf("drawing %s reaches past its edge", s)
			}
			// A drawing made for a sheet is bound on that sheet: letter or
			// tabloid for a compound of this size, never larger.
			for n, pg := range laid.Pages {
				if max(pg.W, pg.H) > 432 {
					t.Errorf("page %d is %.0f x %.0f mm", n+1, pg.W, pg.H)
				}
			}
			texts := 0
			for n, pg := range laid.Pages {
				page := draw.Box{X1: pg.W, Y1: pg.H}
				for i, a := range pg.Texts {
					texts++
					if !a.Box.Inside(page) {
						t.Errorf("page %d: %q runs off the page", n+1, a.S)
					}
					for _, b := range pg.Texts[i+1:] {
						if a.Box.Overlaps(b.Box) {
							t.Errorf("page %d: %q and %q overlap", n+1, a.S, b.S)
						}
					}
				}
				for _, it := range pg.Items {
					if x, ok := it.(draw.Text); ok && x.Size < draw.MinText-1e-9 {
						t.Errorf("page %d: %q is %v mm high", n+1, x.S, x.Size)
					}
				}
			}
			if texts < 100 {
				t.Errorf("only %d texts", texts)
			}
			var a, b bytes.Buffer
			if err := pdf.Write(&a, book); err != nil {
				t.Fatal(err)
			}
			if err := pdf.Write(&b, book); err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(a.Bytes(), b.Bytes()) {
				t.Error("the same package gives other bytes")
			}
			t.Logf("%d pages, %d texts, %d kB", len(laid.Pages), texts, a.Len()/1024)
		})
	}
}
