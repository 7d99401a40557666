package httpapi

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"io"
	"io/fs"
	"net/http"
	"path"
	"strings"
	"sync"
	"time"
)

// types of the files that are served as pages. What is not here is not served.
var types = map[string]string{
	".html":        "text/html; charset=utf-8",
	".js":          "text/javascript; charset=utf-8",
	".mjs":         "text/javascript; charset=utf-8",
	".css":         "text/css; charset=utf-8",
	".json":        "application/json",
	".webmanifest": "application/manifest+json",
	".wasm":        "application/wasm",
	".svg":         "image/svg+xml",
	".png":         "image/png",
	".ico":         "image/x-icon",
	".webp":        "image/webp",
	".woff2":       "font/woff2",
	".ttf":         "font/ttf",
	".txt":         "text/plain; charset=utf-8",
	".yaml":        "text/plain; charset=utf-8",
	".md":          "text/plain; charset=utf-8",
}

// unbuilt is the start page of a program without pages.
const unbuilt = `<!doctype html>
<html lang="en"><meta charset="utf-8"><title>Stubup</title>
<h1>Stubup</h1>
<p>This program was built without its pages. In the source folder run <code>make web</code>, build again and start it again.</p>
<p>The data is served all the same: <a href="/openapi.json">/openapi.json</a> says how, <a href="/healthz">/healthz</a> says whether.</p>
</html>
`

// page is one file with the packed forms of it that were built.
type page struct {
	name   string // of the plain file, whether it is there or not
	plain  bool
	gz, br bool
	sums   [3]func() (string, error) // plain, gz, br
}

type pages struct {
	files fs.FS
	all   map[string]*page
}

// newPages lists what was built.
func newPages(files fs.FS) (*pages, error) {
	p := &pages{files: files, all: map[string]*page{}}
	err := fs.WalkDir(files, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		base := strings.TrimSuffix(strings.TrimSuffix(name, ".gz"), ".br")
		if types[path.Ext(base)] == "" {
			return nil
		}
		x := p.all[base]
		if x == nil {
			x = &page{name: base}
			for i, end := range []string{"", ".gz", ".br"} {
				x.sums[i] = sync.OnceValues(func() (string, error) {
					b, err := fs.ReadFile(files, base+end)
					sum := sha256.Sum256(b)
					return `"` + hex.EncodeToString(sum[:12]) + `"`, err
				})
			}
			p.all[base] = x
		}
		switch {
		case strings.HasSuffix(name, ".gz"):
			x.gz = true
		case strings.HasSuffix(name, ".br"):
			x.br = true
		default:
			x.plain = true
		}
		return nil
	})
	return p, err
}

// takes reports whether a client takes an encoding (RFC 9110, 12.5.3).
func takes(accept, enc string) bool {
	for part := range strings.SplitSeq(accept, ",") {
		name, q, _ := strings.Cut(strings.TrimSpace(part), ";")
		if strings.EqualFold(strings.TrimSpace(name), enc) {
			q = strings.ReplaceAll(q, " ", "")
			return !(strings.HasPrefix(q, "q=0") && strings.Trim(q[3:], ".0") == "")
		}
	}
	return false
}

func (p *pages) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	name := strings.TrimPrefix(r.URL.Path, "/")
	if name == "" {
		name = "index.html"
	}
	x := p.all[name]
	if x == nil {
		if name == "index.html" {
			w.Header().Set("Content-Type", types[".html"])
			w.Header().Set("Cache-Control", "no-cache")
			io.WriteString(w, unbuilt)
			return
		}
		mend := "begin at /"
		if len(p.all) == 0 {
			mend = "the program was built without its pages: run \"make web\", build again and start it again"
		}
		problem(http.StatusNotFound, "not-found", "path", "nothing is here", mend).write(w)
		return
	}
	h := w.Header()
	h.Set("Content-Type", types[path.Ext(name)])
	h.Set("Vary", "Accept-Encoding")
	h.Set("Cache-Control", "no-cache")
	if strings.HasPrefix(name, "assets/") {
		// The builder names these by their content.
		h.Set("Cache-Control", "public, max-age=31536000, immutable")
	}
	accept := r.Header.Get("Accept-Encoding")
	end, sum := "", x.sums[0]
	switch {
	case x.br && takes(accept, "br"):
		end, sum = ".br", x.sums[2]
		h.Set("Content-Encoding", "br")
	case x.gz && takes(accept, "gzip"):
		end, sum = ".gz", x.sums[1]
		h.Set("Content-Encoding", "gzip")
	case x.plain:
	case x.gz:
		p.unpacked(w, r, x)
		return
	default:
		h.Set("Cache-Control", "no-store")
		problem(http.StatusNotAcceptable, "argument", "header.Accept-Encoding", "this file is only here packed", "ask for gzip or br").write(w)
		return
	}
	tag, err := sum()
	f, err2 := p.files.Open(x.name + end)
	if err != nil || err2 != nil {
		problem(http.StatusInternalServerError, "failed", "", "the page does not read", "build the program again").write(w)
		return
	}
	defer f.Close()
	h.Set("ETag", tag)
	seek, ok := f.(io.ReadSeeker)
	if !ok {
		b, _ := io.ReadAll(f)
		seek = bytes.NewReader(b)
	}
	http.ServeContent(w, r, "", time.Time{}, seek)
}

// unpacked serves a file that was only built packed to a client that takes
// none.
func (p *pages) unpacked(w http.ResponseWriter, r *http.Request, x *page) {
	f, err := p.files.Open(x.name + ".gz")
	if err == nil {
		defer f.Close()
		var z *gzip.Reader
		if z, err = gzip.NewReader(f); err == nil {
			w.WriteHeader(http.StatusOK)
			if r.Method != http.MethodHead {
				io.Copy(w, z)
			}
			return
		}
	}
	problem(http.StatusInternalServerError, "failed", "", "the page does not read", "build the program again").write(w)
}
