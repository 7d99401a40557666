package httpapi

import (
	"crypto/rand"
	"crypto/subtle"
	"fmt"
	"io"
	"net"
	"net/http"
	"path"
	"runtime/debug"
	"slices"
	"strings"
	"time"
)

// Limits of the doors.
const (
	headerTime = 5 * time.Second
	idleTime   = 60 * time.Second
	bodyStep   = 16 << 10  // bytes of a body in bodyStepTime
	writeStep  = 256 << 10 // bytes of an answer in writeTime
	writeTime  = 30 * time.Second
	readTime   = 30 * time.Second // a read of the store
	resultTime = 120 * time.Second
	restBytes  = 32 << 20 // of a body that is not taken
	restTime   = 10 * time.Second
	maxHeader  = 16 << 10
	maxConns   = 512
)

// bodyStepTime is in how much time; a variable for the test of slow clients.
var bodyStepTime = 15 * time.Second

// Policy is the content security policy of every page: everything from here,
// nothing inline, and the engine may be compiled.
const Policy = "default-src 'self'; script-src 'self' 'wasm-unsafe-eval'; worker-src 'self'; style-src 'self'; img-src 'self' blob: data:; font-src 'self'; " +
	"connect-src 'self'; manifest-src 'self'; object-src 'none'; base-uri 'none'; frame-ancestors 'none'; form-action 'self'"

// headers stand on every answer, whatever happens behind.
func headers(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", Policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("X-Frame-Options", "DENY")
		h.Set("Permissions-Policy", "geolocation=(self), camera=(self), microphone=(), payment=(), usb=()")
		h.Set("Cache-Control", "no-store")
		next.ServeHTTP(w, r)
	})
}

// caught turns a panic into one answer with an id that the log has too.
func (s *server) caught(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		sw := &stepWriter{ResponseWriter: w, control: http.NewResponseController(w)}
		defer func() {
			v := recover()
			if v == nil {
				return
			}
			if v == http.ErrAbortHandler {
				panic(v)
			}
			id := rand.Text()[:10]
			s.log.Error("a door broke", "id", id, "method", r.Method, "path", r.URL.Path, "panic", fmt.Sprint(v), "stack", string(debug.Stack()))
			if sw.begun {
				// Half an answer must not look like a whole one.
				panic(http.ErrAbortHandler)
			}
			problem(http.StatusInternalServerError, "failed", "", "the program made a mistake; its log has it as "+id, "try again; nothing that was answered is lost").write(sw)
		}()
		next.ServeHTTP(sw, r)
	})
}

// stepWriter gives every piece of an answer its own time, so that a slow
// reader is let go and a long result is not cut.
type stepWriter struct {
	http.ResponseWriter
	control *http.ResponseController
	begun   bool
}

// Unwrap lets the library reach the connection.
func (w *stepWriter) Unwrap() http.ResponseWriter { return w.ResponseWriter }

// WriteHeader begins the answer.
func (w *stepWriter) WriteHeader(status int) {
	w.begun = true
	w.control.SetWriteDeadline(time.Now().Add(writeTime))
	w.ResponseWriter.WriteHeader(status)
}

func (w *stepWriter) Write(b []byte) (n int, err error) {
	w.begun = true
	for {
		step := b[n:min(len(b), n+writeStep)]
		w.control.SetWriteDeadline(time.Now().Add(writeTime))
		m, err := w.ResponseWriter.Write(step)
		n += m
		if err != nil || n == len(b) {
			return n, err
		}
	}
}

// stepBody wants a body to come on: so many bytes in so much time, again and
// again.
type stepBody struct {
	io.ReadCloser
	control *http.ResponseController
	rest    io.Reader // what the limit of the doors keeps back
	got     int
	begun   bool
	ended   bool
}

// Close reads what is left of a body that no door wanted to its end, and
// throws it away, so that the other end comes to read why.
func (b *stepBody) Close() error {
	if !b.ended {
		b.ended = true
		b.control.SetReadDeadline(time.Now().Add(restTime))
		if _, err := io.CopyN(io.Discard, b.rest, restBytes); err == io.EOF {
			b.control.SetReadDeadline(time.Time{})
		}
	}
	return b.ReadCloser.Close()
}

func (b *stepBody) Read(p []byte) (int, error) {
	if !b.begun || b.got >= bodyStep {
		b.begun, b.got = true, 0
		b.control.SetReadDeadline(time.Now().Add(bodyStepTime))
	}
	n, err := b.ReadCloser.Read(p)
	b.got += n
	if ne, ok := err.(net.Error); ok && ne.Timeout() {
		b.ended = true // too slow: not waited for any more
	}
	if err == io.EOF {
		b.ended = true
		// The deadline was for the body; the answer may take longer.
		b.control.SetReadDeadline(time.Time{})
	}
	return n, err
}

// hosts lets only requests through that name this server as their host: a
// page that points its own name at the loopback address does not.
func hosts(allowed []string, next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !slices.Contains(allowed, r.Host) {
			problem(http.StatusMisdirectedRequest, "refused", "header.Host", "this server is not that host", "use the address that the program printed").write(w)
			return
		}
		next.ServeHTTP(w, r)
	})
}

// TokenHeader carries the token where the user behind a connection cannot be
// read.
const TokenHeader = "Stubup-Token"

// peers lets only the user through whose server this is. Pages carry nothing
// of the person's and are open; data is not.
func peers(token string, next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		switch p := peerOf(r.Context()); {
		case p == Ours:
		case p == Other:
			problem(http.StatusForbidden, "refused", "", "this server belongs to another user of the computer", "start your own with \"stubup serve --addr 127.0.0.1:0\"").write(w)
			return
		case r.URL.Path == "/healthz" || r.URL.Path == "/openapi.json" || !strings.HasPrefix(r.URL.Path, "/api/"):
		case token != "" && subtle.ConstantTimeCompare([]byte(r.Header.Get(TokenHeader)), []byte(token)) == 1:
		default:
			problem(http.StatusForbidden, "refused", "header."+TokenHeader, "the request does not carry the token of this server", "open the whole address that the program printed, with what stands behind #").write(w)
			return
		}
		next.ServeHTTP(w, r)
	})
}

// origins keeps pages of other origins out. The start page alone may be
// reached by a link from elsewhere.
func origins(next http.Handler) http.Handler {
	cross := http.NewCrossOriginProtection()
	refuse := func(w http.ResponseWriter, place string) {
		problem(http.StatusForbidden, "refused", place, "a page from elsewhere asked", "open the address that the program printed in a tab of its own").write(w)
	}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		switch r.Header.Get("Sec-Fetch-Site") {
		case "", "same-origin", "none":
		default:
			link := r.URL.Path == "/" && (r.Method == http.MethodGet || r.Method == http.MethodHead) && r.Header.Get("Sec-Fetch-Mode") == "navigate" && r.Header.Get("Sec-Fetch-Dest") == "document"
			if !link {
				refuse(w, "header.Sec-Fetch-Site")
				return
			}
		}
		if o := r.Header.Get("Origin"); o != "" && o != "http://"+r.Host && r.Header.Get("Sec-Fetch-Site") != "same-origin" {
			refuse(w, "header.Origin")
			return
		}
		if err := cross.Check(r); err != nil {
			refuse(w, "header.Origin")
			return
		}
		next.ServeHTTP(w, r)
	})
}

// shapes refuses what no door takes, before any door reads.
func shapes(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Header.Get("Content-Encoding") != "" {
			problem(http.StatusUnsupportedMediaType, "argument", "header.Content-Encoding", "a packed body is not taken", "send it unpacked").write(w)
			return
		}
		if r.Method == http.MethodOptions || r.Method == http.MethodConnect || r.Method == http.MethodTrace {
			problem(http.StatusMethodNotAllowed, "argument", "", "no door takes "+r.Method, "").write(w)
			return
		}
		if p := path.Clean("/" + r.URL.Path); p != r.URL.Path && p+"/" != r.URL.Path || r.URL.Path == "//" {
			// The mux would send these on to another path, with a page as answer.
			problem(http.StatusNotFound, "not-found", "path", "there is no such door", "see /openapi.json").write(w)
			return
		}
		if r.Body != nil && r.Body != http.NoBody {
			// The server looks at the body of its own request to see whether the
			// connection can be used again, so that one stays as it is: with
			// another in its place, the rest of a body that was not read to its
			// end would be taken for the next request.
			own := r
			r = own.WithContext(own.Context())
			r.Body = &stepBody{ReadCloser: http.MaxBytesReader(w, own.Body, maxJSON+1), control: http.NewResponseController(w), rest: own.Body}
		}
		next.ServeHTTP(w, r)
	})
}

// Hosts returns the names under which a server on this address is reached.
func Hosts(addr net.Addr) []string {
	t, ok := addr.(*net.TCPAddr)
	if !ok {
		return nil
	}
	var out []string
	for _, h := range []string{"127.0.0.1", "localhost", "[::1]", bracket(t.IP)} {
		out = append(out, fmt.Sprintf("%s:%d", h, t.Port))
		if t.Port == 80 {
			out = append(out, h)
		}
	}
	return out
}

func bracket(ip net.IP) string {
	if ip.To4() != nil {
		return ip.String()
	}
	return "[" + ip.String() + "]"
}
