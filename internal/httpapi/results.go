package httpapi

import (
	"bytes"
	"context"
	"fmt"
	"net/http"
	"reflect"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/danielgtaylor/huma/v2"

	"stubup"
	"stubup/internal/app"
	"stubup/internal/issue"
	"stubup/internal/store"
	"stubup/internal/wire"
)

// FileList lists what can be saved of a site.
type FileList struct {
	Files []FileName `json:"files"`
}

// FileName names one file.
type FileName struct {
	Name  string `json:"name"`
	Type  string `json:"type"`
	Stage string `json:"stage"`
}

// AsOfQuery names the moment.
type AsOfQuery struct {
	AsOf string `query:"as_of" maxLength:"40" doc:"the moment reported on (RFC 3339); now if not given"`
}

// VerbParam names the stage.
type VerbParam struct {
	Verb string `path:"verb" enum:"layout,prove,order,work,change,handover,check"`
}

// result is the JSON of a stage, as the command prints it.
type result struct {
	ContentType string `header:"Content-Type"`
	Body        []byte
}

func stageJSON(r *stubup.Result, verb string) ([]byte, error) {
	if verb == "check" {
		return wire.Check(r)
	}
	s, ok := issue.Of(r, verb)
	if !ok {
		return nil, &app.ArgumentError{Place: "from", What: "a change is between two revisions", Mend: "name the revision that stands with from"}
	}
	return wire.Stage(r, verb, s.Summary, s.Tables)
}

func (s *server) resultDoors(api huma.API) {
	of := func(t reflect.Type) *huma.Schema { return api.OpenAPI().Components.Schemas.Schema(t, true, t.Name()) }
	schema := &huma.Schema{OneOf: []*huma.Schema{of(reflect.TypeFor[wire.Result]()), of(reflect.TypeFor[wire.Checked]())}}
	stage := func() map[string]*huma.Response {
		return map[string]*huma.Response{"200": {Description: "The stage, as the command prints it with --json; Checked for check, Result for every other", Content: map[string]*huma.MediaType{
			"application/json": {Schema: schema},
		}}}
	}

	type sites struct {
		SiteParam
		VerbParam
		RevisionQuery
		AsOfQuery
		From string `query:"from" maxLength:"64" doc:"for change: the revision that stands"`
	}
	o := op("read-stage", http.MethodGet, "/api/sites/{site}/stages/{verb}", "One stage of a site", 404, 422, 500, 503)
	o.Responses = stage()
	door(s, api, o, resultTime, func(ctx context.Context, in *sites) (*result, error) {
		_, text, err := s.app.Store.Document(ctx, in.Site, in.Revision)
		if err != nil {
			return nil, err
		}
		out := &result{ContentType: "application/json"}
		if in.Verb == "change" && in.From != "" {
			_, old, err := s.app.Store.Document(ctx, in.Site, in.From)
			if err != nil {
				return nil, err
			}
			err = s.app.EvaluateTwo(ctx, old, text, in.AsOf, func(o, n *stubup.Result) error {
				c := issue.Change(o, n)
				out.Body, err = wire.Stage(n, "change", c.Summary, c.Tables)
				return err
			})
			return out, err
		}
		err = s.app.Evaluate(ctx, text, in.AsOf, func(r *stubup.Result) error {
			out.Body, err = stageJSON(r, in.Verb)
			return err
		})
		return out, err
	})

	type given struct {
		VerbParam
		AsOfQuery
		Name    string `query:"name" maxLength:"200" doc:"what messages call the document"`
		RawBody []byte `contentType:"application/yaml"`
	}
	o = op("evaluate", http.MethodPost, "/api/evaluate/{verb}", "One stage of a document that is not kept", 413, 422, 500, 503)
	o.MaxBodyBytes, o.Responses = store.MaxDocument+2, stage()
	door(s, api, o, resultTime, func(ctx context.Context, in *given) (*result, error) {
		out := &result{ContentType: "application/json"}
		name := in.Name
		if name == "" {
			name = app.DocumentName
		}
		if len(in.RawBody) > store.MaxDocument {
			return nil, problem(http.StatusRequestEntityTooLarge, string(store.TooLarge), "body", fmt.Sprintf("the document has more than %d bytes", store.MaxDocument), "take out what is not of the site")
		}
		if strings.ContainsFunc(name, unicode.IsControl) || !utf8.ValidString(name) {
			return nil, &app.ArgumentError{Place: "query.name", What: "is no name of a file", Mend: "give a short name"}
		}
		err := s.app.EvaluateAs(ctx, name, bytes.Clone(in.RawBody), in.AsOf, func(r *stubup.Result) (err error) {
			out.Body, err = stageJSON(r, in.Verb)
			return err
		})
		return out, err
	})

	type all struct {
		SiteParam
		RevisionQuery
		AsOfQuery
	}
	type list struct{ Body FileList }
	door(s, api, op("list-files", http.MethodGet, "/api/sites/{site}/files", "The files of every stage", 404, 422, 500, 503), resultTime, func(ctx context.Context, in *all) (*list, error) {
		_, text, err := s.app.Store.Document(ctx, in.Site, in.Revision)
		if err != nil {
			return nil, err
		}
		out := &list{FileList{[]FileName{}}}
		err = s.app.Evaluate(ctx, text, in.AsOf, func(r *stubup.Result) error {
			for f := range app.Files(r) {
				out.Body.Files = append(out.Body.Files, FileName{f.Name, f.Type, f.Stage})
			}
			return nil
		})
		return out, err
	})

	type one struct {
		SiteParam
		Name string `path:"name" maxLength:"200"`
		RevisionQuery
		AsOfQuery
	}
	o = op("read-file", http.MethodGet, "/api/sites/{site}/files/{name}", "One file of a stage: handover.pdf, order.xlsx, order.csv, plan.svg ...", 404, 422, 500, 503)
	o.Responses = fileResponse(issue.PDF, issue.XLSX, issue.CSV, issue.SVG)
	door(s, api, o, resultTime, func(ctx context.Context, in *one) (*file, error) {
		_, text, err := s.app.Store.Document(ctx, in.Site, in.Revision)
		if err != nil {
			return nil, err
		}
		var out *file
		err = s.app.Evaluate(ctx, text, in.AsOf, func(r *stubup.Result) error {
			for f := range app.Files(r) {
				if f.Name == in.Name {
					var b bytes.Buffer
					err := f.Write(&b)
					out = &file{f.Type, attachment(f.Name), b.Bytes()}
					return err
				}
			}
			return problem(http.StatusNotFound, "not-found", "path.name", "this site has no such file", "the list of files is one step up")
		})
		return out, err
	})
}
