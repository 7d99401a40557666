// Package httpapi serves the sites of one person over HTTP on the loopback
// address: a few doors for programs, and the pages. It is the only room that
// knows HTTP.
//
// Without a sign-in, who may ask is told by three things, looked at in this
// order: the host that was asked for (a page that points its own name here is
// refused), the origin of the page (pages from elsewhere are refused), and the
// user at the other end of the connection (other users of the computer are
// refused). Nothing here opens a connection to anywhere, and no path or
// address from a request reaches the file system.
package httpapi

import (
	"io"
	"io/fs"
	"log/slog"
	"net/http"
	"strings"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/adapters/humago"

	"stubup"
	"stubup/internal/app"
)

// Config is what a handler is made of.
type Config struct {
	App   *app.App
	Pages fs.FS    // the built pages
	Hosts []string // the hosts that requests may name
	Token string   // asked for where the peer's user cannot be told
	Log   *slog.Logger
}

type server struct {
	app *app.App
	log *slog.Logger
}

// Handler returns all doors and pages behind their guards.
func Handler(c Config) (http.Handler, error) {
	p, err := newPages(c.Pages)
	if err != nil {
		return nil, err
	}
	if c.Log == nil {
		c.Log = slog.New(slog.NewTextHandler(io.Discard, nil))
	}
	s := &server{app: c.App, log: c.Log}
	mux := http.NewServeMux()
	s.doors(mux)
	mux.Handle("GET /", p)
	mux.HandleFunc("/", nothing(mux))
	mux.HandleFunc("GET /api/", nothing(mux))
	h := peers(c.Token, shapes(http.Handler(mux)))
	h = hosts(c.Hosts, origins(h))
	return headers(s.caught(h)), nil
}

// nothing answers what no door takes.
func nothing(mux *http.ServeMux) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		var allow []string
		for _, m := range []string{http.MethodGet, http.MethodPost, http.MethodPut, http.MethodPatch, http.MethodDelete} {
			if m == r.Method {
				continue
			}
			other := r.Clone(r.Context())
			other.Method = m
			if _, pattern := mux.Handler(other); pattern != "/" && pattern != "GET /" && pattern != "GET /api/" {
				allow = append(allow, m)
			}
		}
		if len(allow) > 0 || r.Method != http.MethodGet && r.Method != http.MethodHead && !strings.HasPrefix(r.URL.Path, "/api/") {
			if len(allow) == 0 {
				allow = []string{http.MethodGet}
			}
			w.Header().Set("Allow", strings.Join(allow, ", "))
			problem(http.StatusMethodNotAllowed, "argument", "", "this door does not take "+r.Method, "it takes "+strings.Join(allow, ", ")).write(w)
			return
		}
		problem(http.StatusNotFound, "not-found", "path", "there is no such door", "see /openapi.json").write(w)
	}
}

// config of the library: JSON only, no pages of its own (they would fetch
// scripts from elsewhere), no extra member in answers.
func config() huma.Config {
	c := huma.DefaultConfig("Stubup", stubup.Version)
	c.DocsPath, c.SchemasPath, c.OpenAPIPath, c.CreateHooks = "", "", "", nil
	c.Info.Description = "Sites, their revisions and what follows from them. Numbers are SI; every error is a problem (RFC 9457) with its place and mend. " +
		"The figures are for a qualified person to judge; local code and the authority having jurisdiction decide."
	c.RejectUnknownQueryParameters = true
	return c
}

// doors registers every door.
func (s *server) doors(mux *http.ServeMux) huma.API {
	api := humago.New(mux, config())
	s.siteDoors(api)
	s.resultDoors(api)
	doc := api.OpenAPI()
	mux.HandleFunc("GET /openapi.json", func(w http.ResponseWriter, _ *http.Request) {
		b, err := doc.MarshalJSON()
		if err != nil {
			problem(http.StatusInternalServerError, "failed", "", err.Error(), "").write(w)
			return
		}
		w.Header().Set("Content-Type", "application/json")
		w.Write(b)
	})
	return api
}

// OpenAPI returns the description of the doors, as /openapi.json serves it.
func OpenAPI() ([]byte, error) {
	s := &server{}
	return s.doors(http.NewServeMux()).OpenAPI().MarshalJSON()
}
