package sqlite

import (
	"bytes"
	"encoding/hex"
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
)

// A power cut is replayed: the system calls of a child are recorded, and a
// folder is put together as the disk may hold it after any one of them. What
// was synced is there. Of what was not, every block is there or not by chance,
// so that writes are torn and come in any order. A name is there once its
// folder or the file itself was synced, else by chance (as ext4 does).

// op is one call that changes the disk, or an answer.
type op struct {
	kind byte // 'o'pened (made or emptied), 'w'ritten, 't'runcated, 's'ynced, 'r'enamed, 'u'nlinked, 'a'nswered
	path string
	to   string // of a rename; the id of an answer
	at   int64
	data []byte
	cut  bool // emptied
}

var (
	callLine = regexp.MustCompile(`^(\w+)\((.*)\)\s*= (-?\d+)(?:<([^>]*)>)?`)
	fileArg  = regexp.MustCompile(`^(\d+)<([^>]*)>`)
	hexArg   = regexp.MustCompile(`"((?:\\x[0-9a-f]{2})*)"`)
)

func unhex(s string) []byte {
	b, err := hex.DecodeString(strings.ReplaceAll(s, `\x`, ""))
	if err != nil {
		return []byte(s)
	}
	return b
}

// opsIn reads a record of "strace -f -y -xx" for what happened in a folder.
func opsIn(record, dir string) []op {
	var out []op
	begun := map[string]string{}
	pos := map[string]int64{} // of files that are written one piece after the other
	for l := range strings.Lines(record) {
		thread, call, ok := strings.Cut(strings.TrimSpace(l), " ")
		if !ok {
			continue
		}
		call = strings.TrimSpace(call)
		if head, ok := strings.CutSuffix(call, " <unfinished ...>"); ok {
			begun[thread] = head
			continue
		}
		if i := strings.Index(call, " resumed>"); i >= 0 {
			call = begun[thread] + call[i+len(" resumed>"):]
		}
		m := callLine.FindStringSubmatch(call)
		if m == nil || strings.HasPrefix(m[3], "-") {
			continue
		}
		name, args := m[1], m[2]
		fd, path := "", ""
		if f := fileArg.FindStringSubmatch(args); f != nil {
			fd, path = f[1], string(unhex(f[2]))
		}
		var texts []string
		for _, s := range hexArg.FindAllStringSubmatch(args, -1) {
			texts = append(texts, string(unhex(s[1])))
		}
		here := func(p string) bool { return strings.HasPrefix(p, dir) && !strings.HasSuffix(p, "-shm") }
		switch name {
		case "openat", "open":
			p := string(unhex(m[4]))
			pos[m[3]] = 0
			if here(p) && (strings.Contains(args, "O_CREAT") || strings.Contains(args, "O_TRUNC")) {
				out = append(out, op{kind: 'o', path: p, cut: strings.Contains(args, "O_TRUNC")})
			}
		case "write", "pwrite64":
			if len(texts) == 0 {
				continue
			}
			data := []byte(texts[0])
			if fd == "1" && name == "write" {
				for line := range strings.Lines(texts[0]) {
					if id, ok := strings.CutPrefix(strings.TrimSpace(line), "kept "); ok {
						out = append(out, op{kind: 'a', to: id})
					}
				}
				continue
			}
			if !here(path) {
				continue
			}
			at := pos[fd]
			if name == "pwrite64" {
				at, _ = strconv.ParseInt(args[strings.LastIndex(args, " ")+1:], 10, 64)
			} else {
				pos[fd] += int64(len(data))
			}
			out = append(out, op{kind: 'w', path: path, at: at, data: data})
		case "ftruncate":
			if here(path) {
				n, _ := strconv.ParseInt(args[strings.LastIndex(args, " ")+1:], 10, 64)
				out = append(out, op{kind: 't', path: path, at: n})
			}
		case "fsync", "fdatasync":
			if here(path) {
				out = append(out, op{kind: 's', path: path})
			}
		case "rename", "renameat", "renameat2":
			if len(texts) == 2 {
				out = append(out, op{kind: 'r', path: texts[0], to: texts[1]})
			}
		case "unlink", "unlinkat":
			if len(texts) > 0 {
				out = append(out, op{kind: 'u', path: texts[0]})
			}
		}
	}
	return out
}

// file is what is written and what of it is synced.
type file struct {
	now, synced []byte
	loose       []op // written since
}

func put(b []byte, at int64, data []byte) []byte {
	if need := int(at) + len(data); len(b) < need {
		b = append(b, make([]byte, need-len(b))...)
	}
	copy(b[at:], data)
	return b
}

// afterCut makes the folder as it may stand after the first n calls, and
// returns what was answered until then.
func afterCut(ops []op, n int, dir, to string, keep float64, block int, rnd *rand.Rand) (kept []string, err error) {
	names, safe := map[string]*file{}, map[string]*file{}
	of := func(p string) *file {
		f := names[p]
		if f == nil {
			f = &file{}
			names[p] = f
		}
		return f
	}
	for _, o := range ops[:n] {
		switch o.kind {
		case 'a':
			kept = append(kept, o.to)
		case 'o':
			if f := of(o.path); o.cut {
				f.now = nil
			}
		case 'w':
			f := of(o.path)
			f.now = put(f.now, o.at, o.data)
			f.loose = append(f.loose, o)
		case 't':
			if f := of(o.path); int64(len(f.now)) > o.at {
				f.now = f.now[:o.at]
			}
		case 's':
			if f := names[o.path]; f != nil {
				f.synced, f.loose = bytes.Clone(f.now), nil
				if !slices.Contains(slices.Collect(maps.Values(safe)), f) {
					safe[o.path] = f
				}
				continue
			}
			// A folder: its names are there as they are now.
			maps.DeleteFunc(safe, func(p string, _ *file) bool { return filepath.Dir(p) == o.path })
			for p, f := range names {
				if filepath.Dir(p) == o.path {
					safe[p] = f
				}
			}
		case 'r':
			if f := names[o.path]; f != nil {
				names[o.to] = f
				delete(names, o.path)
			}
		case 'u':
			delete(names, o.path)
		}
	}
	for _, p := range slices.Sorted(maps.Keys(names)) {
		f := names[p]
		if _, ok := safe[p]; !ok && !slices.Contains(slices.Collect(maps.Values(safe)), f) && rnd.Float64() < keep {
			safe[p] = f
		}
	}
	for _, p := range slices.Sorted(maps.Keys(safe)) {
		f := safe[p]
		b := bytes.Clone(f.synced)
		for _, w := range f.loose {
			for s := 0; s < len(w.data); s += block {
				if rnd.Float64() < keep {
					b = put(b, w.at+int64(s), w.data[s:min(s+block, len(w.data))])
				}
			}
		}
		rel, err := filepath.Rel(dir, p)
		if err != nil {
			return nil, err
		}
		at := filepath.Join(to, rel)
		if err := os.MkdirAll(filepath.Dir(at), 0o700); err != nil {
			return nil, err
		}
		if err := os.WriteFile(at, b, 0o600); err != nil {
			return nil, err
		}
	}
	return kept, nil
}

// afterCutIs opens a folder as it stands after a cut: it opens, it is whole,
// and all that was answered is there.
func afterCutIs(t *testing.T, dir string, kept []string) error {
	s, err := Open(t.Context(), Options{Dir: dir, Now: time.Now})
	if err != nil {
		return fmt.Errorf("it does not open: %w", err)
	}
	defer s.Close()
	rep, err := s.Verify(t.Context())
	if err != nil || !rep.Whole() {
		return fmt.Errorf("it is not whole: %v %v", err, rep.Faults)
	}
	for _, id := range kept {
		if _, _, err := s.Document(t.Context(), "S", id); err != nil {
			return fmt.Errorf("of %d answered revisions %.8s is not there: %w", len(kept), id, err)
		}
	}
	return nil
}

// long reports whether a part is asked for at length.
func long(part string) bool { return os.Getenv("STUBUP_SOAK") == part }

// Power cuts lose nothing that was answered, and leave a store that opens and
// is whole. With NORMAL in the place of FULL they do, and this test sees it.
func TestPowerCuts(t *testing.T) {
	tool := strace(t)
	recordings, cuts := 1, 34
	if long("cut") {
		recordings, cuts = 4, 417
	}
	rnd := rand.New(rand.NewPCG(5, 6))
	for _, mode := range []string{"good", "normal"} {
		bad, done := 0, 0
		for range recordings {
			dir, err := filepath.EvalSymlinks(t.TempDir())
			if err != nil {
				t.Fatal(err)
			}
			dir = filepath.Join(dir, "data")
			record := filepath.Join(t.TempDir(), "calls")
			c := child(t, mode, dir, tool, "-f", "-qq", "-y", "-xx", "-s", "70000", "-o", record, "-e", "trace=open,openat,write,pwrite64,fsync,fdatasync,ftruncate,rename,renameat,renameat2,unlink,unlinkat")
			if out, err := c.CombinedOutput(); err != nil {
				t.Fatal(err, string(out))
			}
			b, err := os.ReadFile(record)
			if err != nil {
				t.Fatal(err)
			}
			ops := opsIn(string(b), dir)
			count := map[byte]int{}
			for _, o := range ops {
				count[o.kind]++
			}
			if count['a'] != appends || count['w'] < appends || mode == "good" && count['s'] < appends {
				t.Fatalf("%s: the record has %d answers, %d writes, %d syncs: this proves nothing", mode, count['a'], count['w'], count['s'])
			}
			for _, keep := range []float64{0, .5, .95} {
				for _, block := range []int{512, 4096} {
					for range cuts {
						n := 1 + rnd.IntN(len(ops))
						to := filepath.Join(t.TempDir(), "cut")
						if err := os.MkdirAll(to, 0o700); err != nil {
							t.Fatal(err)
						}
						kept, err := afterCut(ops, n, dir, to, keep, block, rnd)
						if err != nil {
							t.Fatal(err)
						}
						done++
						if err := afterCutIs(t, to, kept); err != nil {
							if bad++; mode == "good" {
								t.Errorf("cut after call %d of %d, keep %g, block %d: %v", n, len(ops), keep, block, err)
							}
						}
						os.RemoveAll(to)
						if mode != "good" && bad > 0 {
							break
						}
					}
				}
			}
		}
		if mode == "normal" && bad == 0 {
			t.Errorf("%d cuts of a store that does not sync, and nothing was lost: this proves nothing", done)
		}
		if mode == "good" {
			t.Logf("%d cuts, %d failed", done, bad)
		}
	}
}
