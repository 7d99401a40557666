//go:build unix

package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"syscall"
	"testing"
	"time"

	"stubup/examples"
)

// command is this test program as the command itself.
func command(t *testing.T, args ...string) *exec.Cmd {
	t.Helper()
	me, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	// The name is how the test program knows that it is the command.
	link := filepath.Join(t.TempDir(), "stubup")
	if err := os.Symlink(me, link); err != nil {
		t.Skip("no links here: ", err)
	}
	c := exec.Command(link, args...)
	c.Dir = t.TempDir()
	return c
}

// serving starts a server and returns it with the address of its last line.
func serving(t *testing.T, c *exec.Cmd) (address string, rest *bytes.Buffer) {
	t.Helper()
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	rest = &bytes.Buffer{}
	c.Stderr = rest
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { c.Process.Kill(); c.Wait() })
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		if strings.HasPrefix(lines.Text(), "http://") {
			return strings.TrimSuffix(lines.Text(), "/"), rest
		}
	}
	t.Fatalf("the server ended: %v %s", lines.Err(), rest)
	return "", nil
}

func get(t *testing.T, url string) (int, []byte) {
	t.Helper()
	res, err := http.Get(url)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	b, err := io.ReadAll(res.Body)
	if err != nil {
		t.Fatal(err)
	}
	return res.StatusCode, b
}

func ended(t *testing.T, c *exec.Cmd, wantCode int, says ...string) {
	t.Helper()
	out, err := c.CombinedOutput()
	if c.ProcessState.ExitCode() != wantCode {
		t.Errorf("%v ended with %d (%v), want %d: %s", c.Args[1:], c.ProcessState.ExitCode(), err, wantCode, out)
	}
	for _, s := range says {
		if !bytes.Contains(out, []byte(s)) {
			t.Errorf("%v does not say %q: %s", c.Args[1:], s, out)
		}
	}
}

// A server from its first start to its last word: the example is there once,
// a second server is refused, a backup is made meanwhile and restored, the
// end is quick and clean, and a kill loses nothing.
func TestServe(t *testing.T) {
	data := filepath.Join(t.TempDir(), "data")
	c := command(t, "serve", "--addr", "127.0.0.1:0", "--data", data)
	url, said := serving(t, c)
	for _, path := range []string{"/", "/healthz", "/openapi.json", "/api/sites"} {
		if code, b := get(t, url+path); code != 200 {
			t.Errorf("%s: %d %s", path, code, b)
		}
	}
	_, first := get(t, url+"/api/sites")
	var l struct {
		Sites []struct {
			ID, Name string
			Example  bool
		}
	}
	if err := json.Unmarshal(first, &l); err != nil || len(l.Sites) != 1 || !l.Sites[0].Example || l.Sites[0].Name != "Compound A" {
		t.Fatalf("%v %s", err, first)
	}

	ended(t, command(t, "serve", "--addr", "127.0.0.1:0", "--data", data), exitWorld, "is in use by process", "mend:")
	ended(t, command(t, "serve", "--addr", strings.TrimPrefix(url, "http://"), "--data", t.TempDir()), exitWorld, "is taken by", "mend:")
	ended(t, command(t, "serve", "--addr", "0.0.0.0:0", "--data", t.TempDir()), exitWrong, "other computers", "mend:")
	ended(t, command(t, "serve", "--addr", "nonsense", "--data", t.TempDir()), exitWrong, "mend:")
	ended(t, command(t, "serve", "--db", "postgres://x", "--data", t.TempDir()), exitWrong, "--db", "mend:")

	file := filepath.Join(t.TempDir(), "b.db")
	ended(t, command(t, "backup", "--data", data, file), exitDone, "1 site, 1 revision", "read back whole")
	ended(t, command(t, "backup", "--data", data, file), exitWrong, "mend:")
	ended(t, command(t, "backup", "--data", data), exitWrong, "mend:")
	ended(t, command(t, "backup", "--data", t.TempDir(), file+"2"), exitWorld, "no store", "mend:")
	ended(t, command(t, "restore", "--data", data, file), exitWrong, "not empty", "mend:")
	restored := filepath.Join(t.TempDir(), "new")
	ended(t, command(t, "restore", "--data", restored, file), exitDone, "read back whole")
	docs := filepath.Join(t.TempDir(), "docs")
	ended(t, command(t, "backup", "--data", data, "--documents", docs), exitDone, "compound-a-")

	begun := time.Now()
	c.Process.Signal(syscall.SIGTERM)
	err := c.Wait()
	if took := time.Since(begun); took > 10*time.Second {
		t.Errorf("the end took %v", took)
	}
	if err != nil || !strings.Contains(said.String(), "stopped") {
		t.Errorf("%v %s", err, said)
	}
	if b, err := os.ReadFile(filepath.Join(data, "stubup.lock")); err != nil || string(b) != "closed\n" {
		t.Errorf("%q %v", b, err)
	}

	// Started again, killed, and started again: the same sites. Of the times
	// the best counts, since other programs may have the machine.
	best := time.Hour
	for range 2 {
		c = command(t, "serve", "--addr", "127.0.0.1:0", "--data", data)
		begun = time.Now()
		url, _ = serving(t, c)
		best = min(best, time.Since(begun))
		if _, again := get(t, url+"/api/sites"); !bytes.Equal(first, again) {
			t.Errorf("%s\n%s", first, again)
		}
		c.Process.Kill()
		c.Wait()
	}
	if best > 2*time.Second {
		t.Errorf("the start took %v, promised are 2 s", best)
	}
	c = command(t, "serve", "--addr", "127.0.0.1:0", "--data", restored)
	url, _ = serving(t, c)
	if _, again := get(t, url+"/api/sites"); !bytes.Equal(first, again) {
		t.Errorf("restored: %s\n%s", first, again)
	}

	// Garbage instead of the store.
	bad := t.TempDir()
	if err := os.WriteFile(filepath.Join(bad, "stubup.db"), bytes.Repeat([]byte("garbage "), 2000), 0o600); err != nil {
		t.Fatal(err)
	}
	ended(t, command(t, "serve", "--addr", "127.0.0.1:0", "--data", bad), exitWorld, "damaged", "mend:", "restore")
	ended(t, command(t, "restore", "--data", filepath.Join(bad, "n"), filepath.Join(bad, "stubup.db")), exitWorld, "mend:")
}

// connects finds connections in a record of system calls that go anywhere
// but into the computer's own files.
var connects = regexp.MustCompile(`connect\([^\n]*sa_family=AF_INET6?[^\n]*|sendto\([^\n]*sa_family=AF_INET[^\n]*|socket\(AF_INET6?, SOCK_DGRAM[^\n]*`)

// Nothing leaves: the server opens no connection, whatever it is asked for,
// and does not look a name up.
func TestNothingLeaves(t *testing.T) {
	tool, err := exec.LookPath("strace")
	if err == nil {
		err = exec.Command(tool, "-f", "-o", os.DevNull, "true").Run()
	}
	if err != nil {
		fmt.Println("not proven here: strace")
		if os.Getenv("CI") == "1" {
			t.Fatal("not proven here: strace")
		}
		t.Skip("not proven here: strace")
	}
	record := filepath.Join(t.TempDir(), "calls")
	c := command(t, "serve", "--addr", "localhost:0", "--data", filepath.Join(t.TempDir(), "data"))
	c.Args = append([]string{tool, "-f", "-qq", "-o", record, "-e", "trace=connect,sendto,sendmsg,socket,bind", c.Path}, c.Args[1:]...)
	c.Path = tool
	url, _ := serving(t, c)
	_, b := get(t, url+"/api/sites")
	id := regexp.MustCompile(`"id":"([^"]+)"`).FindSubmatch(b)
	if id == nil {
		t.Fatalf("%s", b)
	}
	at := url + "/api/sites/" + string(id[1])
	for _, path := range []string{url + "/", url + "/openapi.json", at, at + "/stages/prove", at + "/files/handover.pdf", at + "/files/order.xlsx", url + "/docs"} {
		get(t, path)
	}
	res, err := http.Post(url+"/api/sites", "application/yaml", strings.NewReader("format: 1\nname: http://evil.example/x\n"))
	if err != nil {
		t.Fatal(err)
	}
	res.Body.Close()
	if server := childOf(t, c.Process.Pid); server > 0 {
		syscall.Kill(server, syscall.SIGTERM)
	}
	c.Wait()
	calls, err := os.ReadFile(record)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Contains(calls, []byte("bind(")) {
		t.Fatalf("the record does not even show the server: %.500s", calls)
	}
	if out := connects.FindAll(calls, -1); len(out) > 0 {
		t.Errorf("the server went out: %s", bytes.Join(out, []byte("\n")))
	}
	// The verbs open no socket at all.
	site := filepath.Join(t.TempDir(), "site.yaml")
	if err := os.WriteFile(site, examples.CompoundA, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{{"layout", site}, {"prove", site}, {"order", site}, {"work", site}, {"change", site, site}, {"handover", site}, {"check", site}, {"calc", "rod"}, {"version"}} {
		if len(args) > 1 && args[0] != "calc" && args[0] != "check" {
			args = append(args, "-o", t.TempDir())
		}
		v := command(t, args...)
		v.Args = append([]string{tool, "-f", "-qq", "-o", record, "-e", "trace=socket,connect,execve", v.Path}, v.Args[1:]...)
		v.Path = tool
		v.Run() // a broken rule ends it with 1
		calls, err := os.ReadFile(record)
		if err != nil || !bytes.Contains(calls, []byte("execve(")) {
			t.Fatalf("%s: %v: the record does not even show its start: %.200s", args[0], err, calls)
		}
		if bytes.Contains(calls, []byte("AF_INET")) {
			t.Errorf("%s went out: %s", args[0], calls)
		}
	}
	// The same look sees a program that goes out.
	if err := exec.Command(tool, "-f", "-qq", "-o", record, "-e", "trace=connect,sendto,sendmsg,socket,bind", "bash", "-c", "exec 3<>/dev/tcp/127.0.0.1/1").Run(); err == nil {
		t.Fatal("somebody listens on port 1")
	}
	if calls, _ = os.ReadFile(record); !connects.Match(calls) {
		t.Errorf("a program that goes out is not seen: %s", calls)
	}
}

// childOf returns the process that a tool watches; 0 if it has none.
func childOf(t *testing.T, pid int) int {
	t.Helper()
	b, err := os.ReadFile(fmt.Sprintf("/proc/%d/task/%d/children", pid, pid))
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	fmt.Sscan(string(b), &n)
	return n
}
