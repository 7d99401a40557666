package httpapi

import (
	"bytes"
	"context"
	"crypto/sha256"
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"time"

	"github.com/danielgtaylor/huma/v2"

	"stubup"
	"stubup/internal/app"
	"stubup/internal/store"
	"stubup/internal/wire"
)

// maxJSON is a document of the largest size with every byte escaped twice
// over, and the edits beside it.
const maxJSON = 6 << 20

// Site is one site.
type Site struct {
	ID        string    `json:"id"`
	Name      string    `json:"name" doc:"as the head's document names it; may be empty"`
	Example   bool      `json:"example" doc:"came with the program"`
	Created   time.Time `json:"created"`
	Changed   time.Time `json:"changed" doc:"when the last revision arrived"`
	Head      string    `json:"head" doc:"the revision that the main line has come to"`
	Heads     []string  `json:"heads" doc:"every revision without a child; more than one where two stand side by side"`
	Revisions int       `json:"revisions"`
}

// Edit is one change as a person made it.
type Edit struct {
	Path     string `json:"path" doc:"ground.ring.depth, objects.generator.lugs[1]"`
	Old      string `json:"old" doc:"what stands there; empty to put in"`
	New      string `json:"new" doc:"what shall stand there; empty to take out"`
	Sentence string `json:"sentence" doc:"what it does, as a person would say it"`
}

// Revision is one kept state of a site.
type Revision struct {
	ID       string    `json:"id" doc:"sha256 of its content"`
	Site     string    `json:"site"`
	Seq      int64     `json:"seq" doc:"order of arrival"`
	Parents  []string  `json:"parents"`
	Document string    `json:"document" doc:"sha256 of the document"`
	Size     int       `json:"size" doc:"bytes of the document"`
	Sentence string    `json:"sentence"`
	Edits    []Edit    `json:"edits"`
	Author   string    `json:"author"`
	At       time.Time `json:"at" doc:"when it was made"`
	Draft    bool      `json:"draft" doc:"the document has things to mend"`
}

func siteOf(x store.Site) Site {
	return Site{x.ID, x.Name, x.Example, x.Created, x.Changed, x.Head, x.Heads, x.Revisions}
}

func revisionOf(r store.Revision) Revision {
	out := Revision{ID: r.ID, Site: r.Site, Seq: r.Seq, Parents: r.Parents, Document: r.Document, Size: r.Size, Sentence: r.Sentence, Edits: []Edit{}, Author: r.Author, At: r.At, Draft: r.Draft}
	for _, e := range r.Edits {
		out.Edits = append(out.Edits, Edit(e))
	}
	return out
}

// SiteParam names the site. (The library sees exported parts only.)
type SiteParam struct {
	Site string `path:"site" maxLength:"64"`
}

// RequestID is an id that the asking program makes once for each thing that
// it sends.
type RequestID struct {
	Request string `header:"Idempotency-Key" maxLength:"64" doc:"an id made once for what is sent: the same again, since its answer was lost, is answered as it was the first time, and written once; with another body it is refused"`
}

// RevisionQuery names a revision.
type RevisionQuery struct {
	Revision string `query:"revision" maxLength:"64" doc:"a revision; the head if not given"`
}

func op(id, method, path, summary string, errs ...int) huma.Operation {
	return huma.Operation{OperationID: id, Method: method, Path: path, Summary: summary, Errors: append(errs, http.StatusForbidden), BodyReadTimeout: -1}
}

// door registers one door, with a limit on the time that it may take and its
// errors in the words of problems.
func door[I, O any](s *server, api huma.API, o huma.Operation, most time.Duration, f func(context.Context, *I) (*O, error)) {
	huma.Register(api, o, func(ctx context.Context, in *I) (*O, error) {
		ctx, cancel := context.WithTimeout(ctx, most)
		defer cancel()
		out, err := f(ctx, in)
		if err != nil {
			return nil, s.say(ctx, err)
		}
		return out, nil
	})
}

// Healthz says that the server and its store answer.
type Healthz struct {
	Status  string `json:"status" enum:"ok"`
	Version string `json:"version"`
	Format  int    `json:"format"`
}

// SiteList lists sites.
type SiteList struct {
	Sites []Site `json:"sites"`
}

// SiteMade is a site that was made of a document.
type SiteMade struct {
	Site     Site        `json:"site"`
	Revision Revision    `json:"revision"`
	Diags    []wire.Diag `json:"diags"`
}

// SiteRead is a site with its head.
type SiteRead struct {
	Site     Site     `json:"site"`
	Revision Revision `json:"revision"`
	Text     string   `json:"text" doc:"the document"`
}

// RevisionRead is a revision with its document.
type RevisionRead struct {
	Revision Revision `json:"revision"`
	Text     string   `json:"text" doc:"the document"`
}

// RevisionList lists revisions, newest first.
type RevisionList struct {
	Revisions []Revision `json:"revisions"`
	More      bool       `json:"more" doc:"older ones follow"`
}

// RevisionKept is a revision that was kept, and what is to mend in it.
type RevisionKept struct {
	Revision Revision    `json:"revision"`
	Diags    []wire.Diag `json:"diags"`
}

// RevisionNew is a revision that asks to be kept.
type RevisionNew struct {
	Parents  []string  `json:"parents" minItems:"1" maxItems:"8" doc:"the revision that was edited first; two to join two heads"`
	Text     *string   `json:"text,omitempty" doc:"the whole document; may be left out where the edits say it"`
	Edits    []Edit    `json:"edits,omitempty" maxItems:"1000" doc:"made one after the other on the first parent"`
	Sentence string    `json:"sentence,omitempty" doc:"what was done; may be left out with one edit"`
	Author   string    `json:"author,omitempty"`
	At       time.Time `json:"at,omitempty" doc:"when it was made; the same content with the same time is the same revision"`
	Beside   bool      `json:"beside,omitempty" doc:"keep it beside the head where its parent is no head any more"`
}

func (s *server) siteDoors(api huma.API) {
	type health struct{ Body Healthz }
	door(s, api, op("healthz", http.MethodGet, "/healthz", "Whether the server and its store answer", 500), readTime, func(ctx context.Context, _ *struct{}) (*health, error) {
		if _, err := s.app.Store.Sites(ctx); err != nil {
			return nil, err
		}
		return &health{Healthz{"ok", stubup.Version, stubup.Format}}, nil
	})

	type list struct{ Body SiteList }
	door(s, api, op("list-sites", http.MethodGet, "/api/sites", "Every site, oldest first", 500), readTime, func(ctx context.Context, _ *struct{}) (*list, error) {
		xs, err := s.app.Store.Sites(ctx)
		out := &list{SiteList{[]Site{}}}
		for _, x := range xs {
			out.Body.Sites = append(out.Body.Sites, siteOf(x))
		}
		return out, err
	})

	type bring struct {
		RequestID
		Author   string    `query:"author" maxLength:"200"`
		At       time.Time `query:"at" doc:"when the document was made"`
		Sentence string    `query:"sentence" maxLength:"2000"`
		Draft    string    `query:"draft" enum:"yes,no" doc:"yes: take it although it has things to mend"`
		RawBody  []byte    `contentType:"application/yaml"`
	}
	type made struct{ Body SiteMade }
	o := op("create-site", http.MethodPost, "/api/sites", "Make a site of a document", 413, 422, 500, 507)
	o.DefaultStatus, o.MaxBodyBytes = http.StatusCreated, store.MaxDocument+2
	door(s, api, o, readTime, func(ctx context.Context, in *bring) (*made, error) {
		x, r, ds, err := s.app.Create(ctx, app.Came{Text: bytes.Clone(in.RawBody), Author: in.Author, At: in.At, Sentence: in.Sentence, Draft: in.Draft == "yes", Request: in.Request})
		if err != nil {
			return nil, err
		}
		return &made{SiteMade{siteOf(x), revisionOf(r), wire.Diags(ds)}}, nil
	})

	type get struct {
		SiteParam
		Match string `header:"If-None-Match" maxLength:"200"`
	}
	type read struct {
		ETag string `header:"ETag"`
		Body SiteRead
	}
	door(s, api, op("read-site", http.MethodGet, "/api/sites/{site}", "A site, its head and the document", 304, 404, 500), readTime, func(ctx context.Context, in *get) (*read, error) {
		x, err := s.app.Store.Site(ctx, in.Site)
		if err != nil {
			return nil, err
		}
		// A revision beside the head changes the answer too.
		// The tag is short, however many there are.
		tag := fmt.Sprintf(`"%x"`, sha256.Sum256([]byte(strings.Join(append([]string{x.Head}, x.Heads...), "-"))))
		if in.Match == tag {
			same := problem(http.StatusNotModified, "", "", "", "")
			same.header = http.Header{"ETag": {tag}}
			return nil, same
		}
		r, text, err := s.app.Store.Document(ctx, in.Site, x.Head)
		if err != nil {
			return nil, err
		}
		return &read{tag, SiteRead{siteOf(x), revisionOf(r), string(text)}}, nil
	})

	type page struct {
		SiteParam
		Before int64 `query:"before" minimum:"0" doc:"those that arrived before this seq"`
		Limit  int   `query:"limit" minimum:"1" maximum:"1000" default:"100"`
	}
	type revisions struct{ Body RevisionList }
	door(s, api, op("list-revisions", http.MethodGet, "/api/sites/{site}/revisions", "The revisions of a site, newest first", 404, 500), readTime, func(ctx context.Context, in *page) (*revisions, error) {
		rs, err := s.app.Store.Revisions(ctx, in.Site, in.Before, in.Limit+1)
		if err != nil {
			return nil, err
		}
		out := &revisions{RevisionList{Revisions: []Revision{}, More: len(rs) > in.Limit}}
		for _, r := range rs[:min(len(rs), in.Limit)] {
			out.Body.Revisions = append(out.Body.Revisions, revisionOf(r))
		}
		return out, nil
	})

	type one struct {
		SiteParam
		Revision string `path:"revision" maxLength:"64"`
	}
	type oneRead struct{ Body RevisionRead }
	door(s, api, op("read-revision", http.MethodGet, "/api/sites/{site}/revisions/{revision}", "A revision and its document", 404, 500), readTime, func(ctx context.Context, in *one) (*oneRead, error) {
		r, text, err := s.app.Store.Document(ctx, in.Site, in.Revision)
		return &oneRead{RevisionRead{revisionOf(r), string(text)}}, err
	})

	type keep struct {
		SiteParam
		RequestID
		Body RevisionNew
	}
	type kept struct {
		Status int
		Body   RevisionKept
	}
	o = op("append-revision", http.MethodPost, "/api/sites/{site}/revisions", "Keep a revision", 404, 409, 413, 422, 500, 507)
	o.DefaultStatus, o.MaxBodyBytes = http.StatusCreated, maxJSON+1 // the library counts up to one less
	o.Responses = map[string]*huma.Response{"200": {Description: "This very revision is there already", Content: map[string]*huma.MediaType{
		"application/json": {Schema: &huma.Schema{Ref: "#/components/schemas/RevisionKept"}},
	}}}
	door(s, api, o, readTime, func(ctx context.Context, in *keep) (*kept, error) {
		b := in.Body
		d := app.Done{Parents: b.Parents, Text: b.Text, Sentence: b.Sentence, Author: b.Author, At: b.At, Beside: b.Beside, Request: in.Request}
		for _, e := range b.Edits {
			d.Edits = append(d.Edits, store.Edit(e))
		}
		r, ds, added, err := s.app.Append(ctx, in.Site, d)
		out := &kept{http.StatusCreated, RevisionKept{revisionOf(r), wire.Diags(ds)}}
		if !added {
			out.Status = http.StatusOK
		}
		return out, err
	})

	type document struct {
		SiteParam
		RevisionQuery
	}
	o = op("export-site", http.MethodGet, "/api/sites/{site}/document", "The document as a file", 404, 500)
	o.Responses = fileResponse("text/plain; charset=utf-8")
	door(s, api, o, readTime, func(ctx context.Context, in *document) (*file, error) {
		x, err := s.app.Store.Site(ctx, in.Site)
		if err != nil {
			return nil, err
		}
		_, text, err := s.app.Store.Document(ctx, in.Site, in.Revision)
		return &file{"text/plain; charset=utf-8", attachment(app.FileName(x.Name)), text}, err
	})
}

// file is an answer that is saved, never shown in place.
type file struct {
	ContentType string `header:"Content-Type"`
	Disposition string `header:"Content-Disposition"`
	Body        []byte
}

func fileResponse(types ...string) map[string]*huma.Response {
	r := &huma.Response{Description: "The file", Content: map[string]*huma.MediaType{}}
	for _, t := range types {
		r.Content[t] = &huma.MediaType{Schema: &huma.Schema{Type: "string", Format: "binary"}}
	}
	return map[string]*huma.Response{"200": r}
}

// attachment names a file for saving (RFC 6266): plain letters for old
// clients, and the name itself for the others.
func attachment(name string) string {
	plain := strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '-' || r == '.' || r == '_' {
			return r
		}
		return '_'
	}, name)
	s := `attachment; filename="` + plain + `"`
	if plain != name {
		s += "; filename*=UTF-8''" + strings.ReplaceAll(url.QueryEscape(name), "+", "%20")
	}
	return s
}
