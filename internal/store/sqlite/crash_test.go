package sqlite

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"stubup/internal/store"
)

// What is promised over a death of the program or of the power can only be
// seen from outside of it: these tests run this test program again as a child
// that appends and answers, and kill it, or fail its calls.

const childVariable = "STUBUP_APPENDING"

func TestMain(m *testing.M) {
	if mode := os.Getenv(childVariable); mode != "" {
		os.Exit(appending(mode, os.Getenv(childVariable+"_DIR")))
	}
	os.Exit(m.Run())
}

// appends is how many revisions a child that lives to its end asks to keep.
const appends = 120

// appending keeps one revision after another on the head of the only site,
// and says "kept ID" on its output after each answer. Modes that are wrong on
// purpose are for seeing that the tests would see it:
//
//	good    as a server does
//	early   says "kept" before the answer
//	normal  synchronous NORMAL instead of FULL
//	go-on   forgets that a sync failed
func appending(mode, dir string) int {
	ctx := context.Background()
	s, err := Open(ctx, Options{Dir: dir, Now: time.Now})
	if err != nil {
		fmt.Println("open", err)
		return 3
	}
	if mode == "normal" {
		if _, err := s.write.Exec("PRAGMA synchronous = NORMAL"); err != nil {
			fmt.Println("pragma", err)
			return 3
		}
	}
	x, err := s.Site(ctx, "S")
	if store.KindOf(err) == store.NotFound {
		x, _, err = s.Create(ctx, "S", false, store.New{Text: []byte("0"), Sentence: "first", At: time.Now()})
	}
	if err != nil {
		fmt.Println("site", err)
		return 3
	}
	fmt.Println("ready")
	head, failed := x.Head, 0
	for i := 0; i < appends; i++ {
		n := store.New{Text: fmt.Appendf(nil, "depth: %d in\n%s", x.Revisions+i, strings.Repeat("# a line of the document\n", 40)), Sentence: "deeper", At: time.Now(), Parents: []string{head}}
		r, err := n.Revise("S")
		if err != nil {
			fmt.Println("revise", err)
			return 3
		}
		if mode == "early" {
			fmt.Println("kept", r.ID)
		}
		if mode == "go-on" {
			s.stopped.Store(nil)
		}
		if r, _, err = s.Append(ctx, "S", n); err != nil {
			fmt.Println("refused", store.KindOf(err), strings.ReplaceAll(err.Error(), "\n", " "))
			if failed++; failed > 20 {
				break
			}
			// Unanswered is unknown: see what is there and go on from it.
			if y, err := s.Site(ctx, "S"); err == nil {
				head = y.Head
			} else {
				fmt.Println("unread", err)
			}
			continue
		}
		if mode != "early" {
			fmt.Println("kept", r.ID)
		}
		head = r.ID
	}
	if err := s.Close(); err != nil {
		fmt.Println("close", err)
	}
	return 0
}

func child(t *testing.T, mode, dir string, under ...string) *exec.Cmd {
	t.Helper()
	me, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	args := append(under, me)
	c := exec.Command(args[0], args[1:]...)
	c.Env = append(os.Environ(), childVariable+"="+mode, childVariable+"_DIR="+dir)
	return c
}

// lost opens a folder after a death and returns which answered revisions are
// not there; anything else that is wrong fails the test.
func lost(t *testing.T, dir string, kept []string) []string {
	t.Helper()
	s, err := Open(t.Context(), Options{Dir: dir, Now: time.Now})
	if err != nil {
		t.Fatal("after a death:", err)
	}
	defer s.Close()
	rep, err := s.Verify(t.Context())
	if err != nil || !rep.Whole() {
		t.Fatal("after a death:", err, rep.Faults)
	}
	there := map[string]bool{}
	for before := int64(0); ; {
		rs, err := s.Revisions(t.Context(), "S", before, 500)
		if store.KindOf(err) == store.NotFound && len(kept) == 0 {
			return nil
		}
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range rs {
			there[r.ID] = true
			before = r.Seq
		}
		if len(rs) == 0 {
			break
		}
	}
	if x, err := s.Site(t.Context(), "S"); err != nil || len(x.Heads) != 1 || x.Revisions != len(there) {
		t.Errorf("after a death the site is %+v, %v; %d are there", x, err, len(there))
	}
	var out []string
	for _, id := range kept {
		if !there[id] {
			out = append(out, id)
		}
	}
	return out
}

func keptIn(out []byte) (kept, refused []string) {
	// A last line without its end was not said whole.
	out = out[:bytes.LastIndexByte(out, '\n')+1]
	for l := range strings.Lines(string(out)) {
		l = strings.TrimSpace(l)
		if id, ok := strings.CutPrefix(l, "kept "); ok {
			kept = append(kept, id)
		} else if l != "ready" {
			refused = append(refused, l)
		}
	}
	return kept, refused
}

// killed runs a child and kills it some time after so many answers.
func killed(t *testing.T, mode, dir string, answers int, after time.Duration) []string {
	t.Helper()
	c := child(t, mode, dir)
	pipe, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	in := bufio.NewReader(pipe)
	if l, err := in.ReadString('\n'); err != nil || l != "ready\n" {
		t.Errorf("the child said %q, %v", l, err)
	}
	var out []byte
	for range answers {
		l, err := in.ReadBytes('\n')
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, l...)
	}
	time.AfterFunc(after, func() { c.Process.Kill() })
	rest, err := io.ReadAll(in)
	if err != nil {
		t.Error(err)
	}
	out = append(out, rest...)
	c.Wait()
	kept, refused := keptIn(out)
	if len(refused) > 0 {
		t.Errorf("the child was refused: %q", refused)
	}
	return kept
}

// A killed program loses nothing that it answered.
func TestKilled(t *testing.T) {
	dir := t.TempDir()
	rnd := rand.New(rand.NewPCG(1, 2))
	var kept []string
	kills := 25
	if long("kill") {
		kills = 10_000
	}
	for range kills {
		kept = append(kept, killed(t, "good", dir, 1+rnd.IntN(10), time.Duration(rnd.IntN(3_000))*time.Microsecond)...)
	}
	if len(kept) < 50 {
		t.Fatalf("only %d were answered: this proves nothing", len(kept))
	}
	if l := lost(t, dir, kept); len(l) > 0 {
		t.Errorf("%d of %d answered revisions are lost", len(l), len(kept))
	}
	t.Logf("%d kills, %d answered", kills, len(kept))
}

// The same test sees a program that answers before it has kept.
func TestKilledSeesEarlyAnswers(t *testing.T) {
	dir := t.TempDir()
	rnd := rand.New(rand.NewPCG(3, 4))
	for range 60 {
		kept := killed(t, "early", dir, 1+rnd.IntN(10), time.Duration(rnd.IntN(3_000))*time.Microsecond)
		if len(lost(t, dir, kept)) > 0 {
			return
		}
	}
	t.Error("60 kills of a program that answers too early, and none was seen")
}

func strace(t *testing.T) string {
	t.Helper()
	path, err := exec.LookPath("strace")
	if err == nil {
		err = exec.Command(path, "-f", "-o", os.DevNull, "true").Run()
	}
	if err != nil {
		fmt.Println("not proven here: strace")
		if os.Getenv("CI") == "1" {
			t.Fatal("not proven here: strace")
		}
		t.Skip("not proven here: strace")
	}
	return path
}

// A program that is killed at each of its first writes and syncs in turn
// loses nothing that it answered.
func TestKilledAtEveryCall(t *testing.T) {
	tool := strace(t)
	for _, x := range []struct {
		calls string
		upTo  int
		step  int
	}{{"pwrite64", 90, 7}, {"fdatasync,fsync", 24, 3}} {
		died := 0
		if long("kill") {
			x.step = 1
		}
		for n := 1; n <= x.upTo; n += x.step {
			dir := t.TempDir()
			c := child(t, "good", dir, tool, "-f", "-qq", "-o", os.DevNull, "-e", "trace="+x.calls, "-e", fmt.Sprintf("inject=%s:signal=SIGKILL:when=%d", x.calls, n))
			out, err := c.Output()
			if err != nil {
				died++
			}
			kept, _ := keptIn(out)
			if l := lost(t, dir, kept); len(l) > 0 {
				t.Errorf("killed at %s %d: %d of %d answered revisions are lost", x.calls, n, len(l), len(kept))
			}
		}
		if died < x.upTo/x.step/2 {
			t.Errorf("%s: only %d children died: this proves nothing", x.calls, died)
		}
	}
}

var (
	syncCall  = regexp.MustCompile(`\b(?:fsync|fdatasync)\((\d+)<([^>]*)>\)\s*= 0`)
	writeCall = regexp.MustCompile(`\bpwrite64\((\d+)<([^>]*)>`)
	sayCall   = regexp.MustCompile(`\bwrite\(1<[^>]*>, "kept `)
)

// syncedBefore reads a record of system calls: how many answers were given,
// and how many of them while something written to the log was not synced.
func syncedBefore(record string) (answers, unsynced int) {
	dirty := false
	// A call that another thread interrupts is recorded in two pieces; it is
	// done where the second one stands.
	begun := map[string]string{}
	for l := range strings.Lines(record) {
		thread, call, _ := strings.Cut(strings.TrimSpace(l), " ")
		if head, ok := strings.CutSuffix(call, " <unfinished ...>"); ok {
			begun[thread] = head
			if !writeCall.MatchString(head) && !sayCall.MatchString(head) {
				continue
			}
			call = head // a write counts from where it begins
		} else if i := strings.Index(call, " resumed>"); i >= 0 {
			call = begun[thread] + call[i+len(" resumed>"):]
			if writeCall.MatchString(call) || sayCall.MatchString(call) {
				continue
			}
		}
		switch {
		case sayCall.MatchString(call):
			answers++
			if dirty {
				unsynced++
			}
		case syncCall.MatchString(call):
			if strings.HasSuffix(syncCall.FindStringSubmatch(call)[2], "-wal") {
				dirty = false
			}
		case writeCall.MatchString(call):
			if strings.HasSuffix(writeCall.FindStringSubmatch(call)[2], "-wal") {
				dirty = true
			}
		}
	}
	return answers, unsynced
}

// Power: every answer comes after the sync of what it rests on. With NORMAL
// it does not, and this test sees it.
func TestSyncedBeforeAnswer(t *testing.T) {
	tool := strace(t)
	for mode, want := range map[string]bool{"good": true, "normal": false} {
		record := filepath.Join(t.TempDir(), "calls")
		c := child(t, mode, t.TempDir(), tool, "-f", "-qq", "-y", "-s", "16", "-o", record, "-e", "trace=pwrite64,fdatasync,fsync,write")
		if out, err := c.CombinedOutput(); err != nil {
			t.Fatal(err, string(out))
		}
		b, err := os.ReadFile(record)
		if err != nil {
			t.Fatal(err)
		}
		answers, unsynced := syncedBefore(string(b))
		if answers < appends {
			t.Fatalf("%s: %d answers in the record: this proves nothing", mode, answers)
		}
		if (unsynced == 0) != want {
			t.Errorf("%s: %d of %d answers before their sync", mode, unsynced, answers)
		}
	}
}

// A disk without room, for a moment: nothing false is answered, reading goes
// on, and writing returns by itself.
func TestNoRoomOnce(t *testing.T) {
	tool := strace(t)
	refusals := 0
	// The first writes make the database; these come after them.
	for _, n := range []int{70, 85, 103} {
		dir := t.TempDir()
		c := child(t, "good", dir, tool, "-f", "-qq", "-o", os.DevNull, "-e", "trace=pwrite64", "-e", fmt.Sprintf("inject=pwrite64:error=ENOSPC:when=%d", n))
		out, err := c.Output()
		if err != nil {
			t.Fatalf("write %d: the child ended: %v %s", n, err, out)
		}
		kept, refused := keptIn(out)
		refusals += len(refused)
		// The tool counts the writes of each thread for itself, so a few fail.
		if len(kept)+len(refused) != appends || len(refused) > 10 {
			t.Errorf("write %d of each thread failed: %d kept, refused %q", n, len(kept), refused)
		}
		for _, r := range refused {
			if !strings.HasPrefix(r, "refused store-full ") {
				t.Errorf("write %d: %q", n, r)
			}
		}
		if l := lost(t, dir, kept); len(l) > 0 {
			t.Errorf("write %d failed: %d answered revisions are lost", n, len(l))
		}
	}
	if refusals == 0 {
		t.Error("no write was refused: this proves nothing")
	}
}

// A sync that failed: everything after it is refused, even where the disk
// says yes again. A program that goes on is seen.
func TestSyncFailedOnce(t *testing.T) {
	tool := strace(t)
	for mode, want := range map[string]bool{"good": true, "go-on": false} {
		stopped := true
		dir := t.TempDir()
		c := child(t, mode, dir, tool, "-f", "-qq", "-o", os.DevNull, "-e", "trace=fdatasync,fsync", "-e", "inject=fdatasync,fsync:error=EIO:when=30")
		out, err := c.Output()
		if err != nil {
			t.Fatalf("the child ended: %v %s", err, out)
		}
		failed := false
		for l := range strings.Lines(string(out)) {
			switch {
			case strings.HasPrefix(l, "refused stopped "):
				failed = true
			case failed && strings.HasPrefix(l, "kept "):
				stopped = false
			}
		}
		if !failed {
			t.Fatalf("%s: no sync failed: this proves nothing: %s", mode, out)
		}
		if stopped != want {
			t.Errorf("%s: stopped after a failed sync: %v", mode, stopped)
		}
		if mode == "good" {
			kept, _ := keptIn(out)
			if l := lost(t, dir, kept); len(l) > 0 {
				t.Errorf("%d answered revisions are lost", len(l))
			}
		}
	}
}
