package httpapi

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"net"
	"net/http"
	"net/http/httptest"
	"net/url"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/danielgtaylor/huma/v2"

	"stubup/examples"
	"stubup/internal/store"
)

type parameter struct {
	Name, In string
	Schema   struct {
		Type             string
		MaxLength        *int
		Minimum, Maximum *int
		Enum             []string
		Format           string
	}
}

type operation struct {
	OperationID string
	Parameters  []parameter
	RequestBody *struct {
		Content map[string]json.RawMessage
	}
}

func described(t *testing.T) map[string]map[string]operation {
	t.Helper()
	b, err := OpenAPI()
	if err != nil {
		t.Fatal(err)
	}
	var doc struct {
		Paths map[string]map[string]operation
	}
	if err := json.Unmarshal(b, &doc); err != nil {
		t.Fatal(err)
	}
	return doc.Paths
}

// Every parameter of every door has its limit, is taken at it, and is refused
// one beyond it.
func TestParameterLimits(t *testing.T) {
	d := start(t)
	m := d.bring(examples.CompoundA)
	usual := map[string]string{"site": m.Site.ID, "revision": m.Revision.ID, "verb": "check", "name": "plan.svg"}
	n := 0
	for path, ops := range described(t) {
		for method, o := range ops {
			for _, p := range o.Parameters {
				// ask sends one request with a value of this parameter, and returns what
				// was said against that value.
				ask := func(value string) string {
					at := path
					for k, v := range usual {
						if p.In == "path" && p.Name == k {
							v = value
						}
						at = strings.ReplaceAll(at, "{"+k+"}", v)
					}
					var header []string
					switch p.In {
					case "query":
						at += "?" + p.Name + "=" + url.QueryEscape(value)
					case "header":
						header = []string{p.Name, value}
					}
					var body any
					if method == "post" {
						body = []byte("format: 1\n")
						if o.RequestBody.Content["application/json"] != nil {
							body = map[string]any{"parents": []string{m.Revision.ID}, "text": "format: 1\n", "sentence": "x"}
						}
					}
					res, b := d.do(strings.ToUpper(method), at, body, header...)
					if res.StatusCode != http.StatusUnprocessableEntity {
						return ""
					}
					var pr Problem
					if err := json.Unmarshal(b, &pr); err != nil {
						t.Fatal(err)
					}
					for _, f := range pr.Errors {
						if f.Place == p.In+"."+p.Name {
							return f.What
						}
					}
					return ""
				}
				what := fmt.Sprintf("%s %s: %s", method, path, p.Name)
				s := p.Schema
				n++
				switch {
				case s.MaxLength != nil:
					for size, refused := range map[int]bool{*s.MaxLength: false, *s.MaxLength + 1: true} {
						if said := ask(strings.Repeat("x", size)); strings.Contains(said, "length") != refused {
							t.Errorf("%s of %d: %q", what, size, said)
						}
					}
				case s.Type == "integer":
					if s.Minimum == nil || ask(fmt.Sprint(*s.Minimum)) != "" || ask(fmt.Sprint(*s.Minimum-1)) == "" {
						t.Errorf("%s has no least value", what)
					}
					if s.Maximum != nil && (ask(fmt.Sprint(*s.Maximum)) != "" || ask(fmt.Sprint(*s.Maximum+1)) == "") {
						t.Errorf("%s: its greatest value does not hold", what)
					}
				case s.Enum != nil:
					if ask(s.Enum[0]) != "" || ask("x") == "" {
						t.Errorf("%s: takes what is not of it", what)
					}
				case s.Format == "date-time":
					if ask("2026-03-01T07:00:00Z") != "" || ask("x") == "" {
						t.Errorf("%s: takes what is no time", what)
					}
				default:
					t.Errorf("%s has no limit", what)
				}
			}
		}
	}
	if n < 25 {
		t.Errorf("%d parameters: this proves nothing", n)
	}
}

// padded is a site of so many bytes.
func padded(size int) []byte {
	b := bytes.Clone(examples.CompoundA)
	if len(b)+2 > size {
		return b[:size]
	}
	line := "#" + strings.Repeat("x", 98) + "\n"
	for len(b)+len(line)+2 <= size {
		b = append(b, line...)
	}
	return append(b, "#"+strings.Repeat("x", size-len(b)-2)+"\n"...)
}

// Every body is taken at its limit and refused one byte, or one piece, beyond.
func TestBodyLimits(t *testing.T) {
	d := start(t)
	m := d.bring(examples.CompoundA)
	at := "/api/sites/" + m.Site.ID
	head := m.Revision.ID
	text := string(examples.CompoundA)
	edit := func(n int) []Edit {
		out := make([]Edit, n)
		for i := range out {
			out[i] = Edit{"name", fmt.Sprint("Compound ", i), fmt.Sprint("Compound ", i+1), "x"}
		}
		out[0].Old = "Compound A"
		return out
	}
	filled := func(n int) string { return strings.Repeat("s", n) }
	// A body of so many bytes, blank after its last brace.
	blank := func(n int) json.RawMessage {
		b, err := json.Marshal(RevisionNew{Parents: []string{head}, Text: &text, Sentence: "blank", Beside: true})
		if err != nil {
			t.Fatal(err)
		}
		return append(b[:len(b)-1], strings.Repeat(" ", n-len(b))+"}"...)
	}
	for _, x := range []struct {
		what   string
		limit  int
		path   string
		status int // of one beyond
		body   func(n int) any
	}{
		{"a document that becomes a site", store.MaxDocument, "/api/sites", 413, func(n int) any { return padded(n) }},
		{"a document that is not kept", store.MaxDocument, "/api/evaluate/check", 413, func(n int) any { return padded(n) }},
		{"a document of a revision", store.MaxDocument, at + "/revisions", 413, func(n int) any {
			text := string(padded(n))
			return RevisionNew{Parents: []string{head}, Text: &text, Sentence: "x", Beside: true}
		}},
		{"a sentence", store.MaxSentence, at + "/revisions", 413, func(n int) any {
			return RevisionNew{Parents: []string{head}, Text: &text, Sentence: filled(n), Beside: true}
		}},
		{"an author", store.MaxAuthor, at + "/revisions", 413, func(n int) any {
			return RevisionNew{Parents: []string{head}, Text: &text, Sentence: "x", Author: filled(n), Beside: true}
		}},
		{"edits", store.MaxEdits, at + "/revisions", 422, func(n int) any {
			return RevisionNew{Parents: []string{head}, Edits: edit(n), Sentence: "x", Beside: true}
		}},
		{"the text of an edit", store.MaxEditText, at + "/revisions", 413, func(n int) any {
			e := edit(1)
			e[0].Sentence = filled(n - len(e[0].Path) - len(e[0].Old) - len(e[0].New))
			return RevisionNew{Parents: []string{head}, Edits: e, Sentence: "x", Beside: true}
		}},
		{"a body", maxJSON, at + "/revisions", 413, func(n int) any { return blank(n) }},
	} {
		res, b := d.do("POST", x.path, x.body(x.limit))
		if res.StatusCode >= 300 {
			t.Errorf("%s at its limit of %d: %d %.300s", x.what, x.limit, res.StatusCode, b)
		}
		res, b = d.do("POST", x.path, x.body(x.limit+1))
		var p Problem
		if err := json.Unmarshal(b, &p); err != nil || res.StatusCode != x.status || p.Mend == "" {
			t.Errorf("%s of %d: %d %.300s", x.what, x.limit+1, res.StatusCode, b)
		}
	}
	// Parents: eight that stand side by side are joined, nine are too many.
	heads := want[SiteRead](d, 200, "GET", at, nil).Site.Heads
	for i := len(heads); i < 9; i++ {
		body := RevisionNew{Parents: []string{head}, Text: &text, Sentence: fmt.Sprint("beside ", i), Beside: true}
		heads = append(heads, want[RevisionKept](d, 201, "POST", at+"/revisions", body).Revision.ID)
	}
	if res, b := d.do("POST", at+"/revisions", RevisionNew{Parents: heads[:9], Text: &text, Sentence: "joined"}); res.StatusCode != 422 {
		t.Errorf("nine parents: %d %.200s", res.StatusCode, b)
	}
	if res, b := d.do("POST", at+"/revisions", RevisionNew{Parents: heads[:8], Text: &text, Sentence: "joined", Beside: true}); res.StatusCode != 201 {
		t.Errorf("eight parents: %d %.200s", res.StatusCode, b)
	}
}

// The tag of a site with many heads is taken back as it was given.
func TestTagOfManyHeads(t *testing.T) {
	d := start(t)
	m := d.bring(examples.CompoundA)
	at := "/api/sites/" + m.Site.ID
	text := string(examples.CompoundA)
	tags := map[string]bool{}
	for i := range 6 {
		res, _ := d.do("GET", at, nil)
		tag := res.Header.Get("ETag")
		if again, b := d.do("GET", at, nil, "If-None-Match", tag); again.StatusCode != http.StatusNotModified || tags[tag] {
			t.Errorf("%d heads: %d %.200s, tag %s", i, again.StatusCode, b, tag)
		}
		tags[tag] = true
		want[RevisionKept](d, 201, "POST", at+"/revisions", RevisionNew{Parents: []string{m.Revision.ID}, Text: &text, Sentence: fmt.Sprint("beside ", i), Beside: true})
	}
}

// A head of a request is taken up to 16 KiB, and 4 KiB more that the library
// reads at most; what is larger is refused before anything looks at it.
func TestHeaderLimit(t *testing.T) {
	d := start(t)
	get := func(size int) string {
		c, err := net.Dial("tcp", d.host)
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close()
		c.SetDeadline(time.Now().Add(10 * time.Second))
		s := "GET /healthz HTTP/1.1\r\nHost: " + d.host + "\r\nConnection: close\r\nX-Filled: "
		fmt.Fprint(c, s+strings.Repeat("x", size-len(s)-4)+"\r\n\r\n")
		l, err := bufio.NewReader(c).ReadString('\n')
		if err != nil {
			t.Fatal(err)
		}
		return strings.TrimSpace(l)
	}
	for size, status := range map[int]string{maxHeader: "HTTP/1.1 200 OK", maxHeader + 4096: "HTTP/1.1 200 OK", maxHeader + 4097: "HTTP/1.1 431 Request Header Fields Too Large"} {
		if l := get(size); l != status {
			t.Errorf("a head of %d bytes: %q, want %q", size, l, status)
		}
	}
}

// So many connections are served at once; one more waits until one has gone.
func TestConnectionLimit(t *testing.T) {
	d := start(t)
	open := func() net.Conn {
		c, err := net.Dial("tcp", d.host)
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
	answered := func(c net.Conn, within time.Duration) bool {
		fmt.Fprintf(c, "GET /sw.js HTTP/1.1\r\nHost: %s\r\n\r\n", d.host)
		c.SetReadDeadline(time.Now().Add(within))
		b := make([]byte, 4096)
		n, err := c.Read(b)
		var late net.Error
		if err != nil && !(errors.As(err, &late) && late.Timeout()) {
			t.Fatal(err)
		}
		return bytes.HasPrefix(b[:n], []byte("HTTP/1.1 200"))
	}
	var conns []net.Conn
	for range maxConns {
		c := open()
		defer c.Close()
		conns = append(conns, c)
	}
	if !answered(conns[maxConns-1], 20*time.Second) {
		t.Fatalf("connection %d is not answered", maxConns)
	}
	more := open()
	defer more.Close()
	if answered(more, 300*time.Millisecond) {
		t.Errorf("connection %d is answered", maxConns+1)
	}
	conns[0].Close()
	more.SetReadDeadline(time.Now().Add(20 * time.Second))
	b := make([]byte, 64)
	if n, err := more.Read(b); err != nil || !bytes.HasPrefix(b[:n], []byte("HTTP/1.1 200")) {
		t.Errorf("once one has gone: %v %q", err, b[:n])
	}
}

// What a stage answers is what the description of the doors says that it is,
// check and all.
func TestStagesAsDescribed(t *testing.T) {
	d := start(t)
	m := d.bring(examples.CompoundA)
	at := "/api/sites/" + m.Site.ID
	s := &server{app: d.app}
	api := s.doors(http.NewServeMux())
	said := api.OpenAPI().Paths["/api/sites/{site}/stages/{verb}"].Get.Responses["200"].Content["application/json"].Schema
	reg := api.OpenAPI().Components.Schemas
	if len(said.OneOf) != 2 {
		t.Fatalf("%+v", said)
	}
	validate := func(schema *huma.Schema, b []byte) []error {
		var v any
		if err := json.Unmarshal(b, &v); err != nil {
			t.Fatal(err)
		}
		res := &huma.ValidateResult{}
		huma.Validate(reg, schema, huma.NewPathBuffer(nil, 0), huma.ModeReadFromServer, v, res)
		return res.Errors
	}
	for _, verb := range []string{"layout", "prove", "order", "work", "change", "handover", "check"} {
		path := at + "/stages/" + verb
		if verb == "change" {
			path += "?from=" + m.Revision.ID
		}
		res, b := d.do("GET", path, nil)
		if res.StatusCode != 200 {
			t.Fatalf("%s: %d %.200s", verb, res.StatusCode, b)
		}
		if errs := validate(said, b); len(errs) > 0 {
			t.Errorf("%s: %v", verb, errs)
		}
		of := slices.IndexFunc(said.OneOf, func(s *huma.Schema) bool { return len(validate(s, b)) == 0 })
		name := strings.TrimPrefix(said.OneOf[max(of, 0)].Ref, "#/components/schemas/")
		if want := map[bool]string{true: "Checked", false: "Result"}[verb == "check"]; name != want {
			t.Errorf("%s answers a %s, wanted %s", verb, name, want)
		}
	}
	// The other door that answers stages says the same of them.
	if other := api.OpenAPI().Paths["/api/evaluate/{verb}"].Post.Responses["200"].Content["application/json"].Schema; !reflect.DeepEqual(said, other) {
		t.Errorf("%+v", other)
	}
}

// The guards stand in their order: whose name, whose page, whose program.
func TestGuardOrder(t *testing.T) {
	a := start(t).app
	h, err := Handler(Config{App: a, Pages: built, Hosts: []string{"localhost:1"}, Token: "SECRET"})
	if err != nil {
		t.Fatal(err)
	}
	ask := func(host, from, token string) (int, string) {
		r := httptest.NewRequest("GET", "http://"+host+"/api/sites", nil)
		r.Header.Set("Sec-Fetch-Site", from)
		r.Header.Set(TokenHeader, token)
		w := httptest.NewRecorder()
		h.ServeHTTP(w, r)
		var p Problem
		json.Unmarshal(w.Body.Bytes(), &p)
		return w.Code, p.Place
	}
	for _, x := range []struct {
		host, from, token string
		status            int
		place             string
	}{
		{"evil.example", "cross-site", "", 421, "header.Host"},
		{"localhost:1", "cross-site", "", 403, "header.Sec-Fetch-Site"},
		{"localhost:1", "same-origin", "", 403, "header." + TokenHeader},
		{"localhost:1", "same-origin", "SECRET", 200, ""},
	} {
		if status, place := ask(x.host, x.from, x.token); status != x.status || place != x.place {
			t.Errorf("%+v: %d at %q", x, status, place)
		}
	}
}
