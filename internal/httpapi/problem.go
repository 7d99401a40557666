package httpapi

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"strings"

	"github.com/danielgtaylor/huma/v2"

	"stubup/internal/app"
	"stubup/internal/store"
	"stubup/internal/wire"
)

// Problem is how every door says that it did not do what was asked: RFC 9457,
// with the place, and what to do about it.
type Problem struct {
	Type   string      `json:"type" doc:"always about:blank; the kind says which"`
	Title  string      `json:"title"`
	Status int         `json:"status"`
	Kind   string      `json:"kind" doc:"what programs act on: not-found, conflict, too-large, store-full, damaged, stopped, document, argument, busy, refused, failed"`
	Detail string      `json:"detail" doc:"what is wrong"`
	Place  string      `json:"place,omitempty" doc:"where in the request"`
	Mend   string      `json:"mend,omitempty" doc:"what to do"`
	Errors []Fault     `json:"errors,omitempty" doc:"each fault of the request"`
	Diags  []wire.Diag `json:"diags,omitempty" doc:"what is wrong with the document"`
	Heads  []string    `json:"heads,omitempty" doc:"in a conflict: the heads, that of the main line first"`
	header http.Header
}

// Fault is one fault of a request.
type Fault struct {
	Place string `json:"place"`
	What  string `json:"what"`
}

// Error returns what is wrong.
func (p *Problem) Error() string { return p.Detail }

// GetStatus returns the HTTP status.
func (p *Problem) GetStatus() int { return p.Status }

// GetHeaders returns headers that go with the problem.
func (p *Problem) GetHeaders() http.Header { return p.header }

// ContentType returns the type of a problem.
func (p *Problem) ContentType(string) string { return "application/problem+json" }

// The library asks a variable of its own for the form of an error; there is
// one form in a program, so it is set once, before any door is made.
func init() {
	huma.DefaultArrayNullable = false // lists are empty, never null
	huma.NewError = func(status int, msg string, errs ...error) huma.StatusError {
		p := problem(status, kindOf(status), "", msg, "")
		for _, err := range errs {
			if err == nil {
				continue
			}
			f := Fault{What: err.Error()}
			var d huma.ErrorDetailer
			if errors.As(err, &d) {
				f = Fault{Place: d.ErrorDetail().Location, What: d.ErrorDetail().Message}
			}
			p.Errors = append(p.Errors, f)
		}
		if len(p.Errors) > 0 {
			p.Place = p.Errors[0].Place
			if msg == "validation failed" {
				p.Detail = strings.TrimPrefix(p.Errors[0].Place+": "+p.Errors[0].What, ": ")
			}
		}
		switch status {
		case http.StatusRequestEntityTooLarge:
			p.Mend = "send less"
		case http.StatusRequestTimeout:
			p.Mend = "send it again; the body came too slowly"
		case http.StatusInternalServerError:
			// What went wrong inside is for the log, not for the answer.
			p.Errors = nil
		case http.StatusBadRequest, http.StatusUnprocessableEntity, http.StatusUnsupportedMediaType:
			p.Mend = "send what /openapi.json says of this door"
		}
		return p
	}
}

func kindOf(status int) string {
	switch status {
	case http.StatusNotFound:
		return string(store.NotFound)
	case http.StatusRequestEntityTooLarge:
		return string(store.TooLarge)
	case http.StatusBadRequest, http.StatusUnprocessableEntity, http.StatusUnsupportedMediaType, http.StatusRequestTimeout, http.StatusMethodNotAllowed, http.StatusNotAcceptable:
		return "argument"
	case http.StatusForbidden, http.StatusMisdirectedRequest:
		return "refused"
	}
	return "failed"
}

func problem(status int, kind, place, what, mend string) *Problem {
	return &Problem{Type: "about:blank", Title: http.StatusText(status), Status: status, Kind: kind, Place: place, Detail: what, Mend: mend}
}

// say turns an error of the rooms behind into a problem. What has no kind is
// logged, and answered without its inside.
func (s *server) say(ctx context.Context, err error) error {
	var doc *app.DocumentError
	var arg *app.ArgumentError
	var clash *store.Conflict
	var se *store.Error
	var p *Problem
	switch {
	case err == nil:
		return nil
	case errors.As(err, &p):
		return p
	case errors.As(err, &doc):
		p := problem(http.StatusUnprocessableEntity, "document", "", doc.What, doc.Mend)
		p.Diags = wire.Diags(doc.Diags)
		return p
	case errors.As(err, &arg):
		return problem(http.StatusUnprocessableEntity, "argument", arg.Place, arg.What, arg.Mend)
	case errors.As(err, &clash):
		p := problem(http.StatusConflict, string(store.Clash), "parents", clash.Error(), store.Mend(err))
		p.Heads = clash.Heads
		return p
	case errors.Is(err, app.ErrBusy):
		p := problem(http.StatusServiceUnavailable, "busy", "", err.Error(), "try again in a few seconds")
		p.header = http.Header{"Retry-After": {"2"}}
		return p
	case errors.Is(err, context.Canceled):
		return problem(499, "failed", "", "the request was given up", "")
	case errors.Is(err, context.DeadlineExceeded):
		p := problem(http.StatusServiceUnavailable, "busy", "", "the result took too long and was given up", "try again when the computer is less busy, or use the command")
		p.header = http.Header{"Retry-After": {"10"}}
		return p
	case errors.As(err, &se) && se.Kind != "":
		status := map[store.Kind]int{
			store.NotFound: http.StatusNotFound, store.TooLarge: http.StatusRequestEntityTooLarge, store.Wrong: http.StatusUnprocessableEntity,
			store.Full: http.StatusInsufficientStorage, store.Busy: http.StatusServiceUnavailable,
		}[se.Kind]
		if status == 0 {
			status = http.StatusInternalServerError
			s.log.ErrorContext(ctx, "the store failed", "error", err)
		}
		return problem(status, string(se.Kind), "", se.What, se.Mend)
	}
	s.log.ErrorContext(ctx, "a request failed", "error", err)
	mend := "try again; nothing that was answered is lost"
	if se != nil {
		mend = se.Mend
	}
	return problem(http.StatusInternalServerError, "failed", "", "the program could not do this; its log says more", mend)
}

// write answers a problem outside the doors of the library.
func (p *Problem) write(w http.ResponseWriter) {
	b, err := json.Marshal(p)
	if err != nil {
		b = []byte(`{}`)
	}
	for k, v := range p.header {
		w.Header()[k] = v
	}
	w.Header().Set("Content-Type", "application/problem+json")
	w.WriteHeader(p.Status)
	w.Write(append(b, '\n'))
}
