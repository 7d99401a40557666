package sqlite

import (
	"bytes"
	"context"
	"crypto/rand"
	"database/sql"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"stubup/internal/store"
)

func fill(t *testing.T, s *Store, n int) []string {
	t.Helper()
	_, r, err := s.Create(t.Context(), "S", false, store.New{Text: []byte("0"), Sentence: "first", At: now(), Name: "north yard"})
	if err != nil {
		t.Fatal(err)
	}
	ids := []string{r.ID}
	for i := range n {
		text := fmt.Appendf(nil, "depth: %d in\n%s", i, strings.Repeat("# what stands here\n", 200))
		if r, _, err = s.Append(t.Context(), "S", store.New{Text: text, Sentence: "deeper", At: now(), Name: "north yard", Parents: []string{r.ID}}); err != nil {
			t.Fatal(err)
		}
		ids = append(ids, r.ID)
	}
	return ids
}

func wantKind(t *testing.T, err error, want store.Kind) {
	t.Helper()
	if err == nil || store.KindOf(err) != want || store.Mend(err) == "" {
		t.Fatalf("got %v (kind %q, mend %q), want kind %q with a mend", err, store.KindOf(err), store.Mend(err), want)
	}
}

// Before 3.51.3 the engine could damage a file when the log was reset under
// two connections (release notes of SQLite 3.51.3).
func TestEngineVersion(t *testing.T) {
	s := open(t, t.TempDir())
	var v string
	if err := s.read.QueryRow("SELECT sqlite_version()").Scan(&v); err != nil {
		t.Fatal(err)
	}
	var a, b, c int
	if n, err := fmt.Sscanf(v, "%d.%d.%d", &a, &b, &c); n != 3 || err != nil {
		t.Fatal(v, err)
	}
	if a*1_000_000+b*1_000+c < 3_051_003 {
		t.Errorf("SQLite %s is older than 3.51.3", v)
	}
}

// What a setting is, is read back on every connection.
func TestSettings(t *testing.T) {
	s := open(t, t.TempDir())
	check := func(c *sql.Conn, want map[string]string) {
		for name, v := range want {
			var got string
			if err := c.QueryRowContext(t.Context(), "PRAGMA "+name).Scan(&got); err != nil || got != v {
				t.Errorf("%s is %q, want %q (%v)", name, got, v, err)
			}
		}
	}
	w, err := s.write.Conn(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	check(w, map[string]string{"synchronous": "2", "journal_mode": "wal", "foreign_keys": "1", "busy_timeout": "5000", "trusted_schema": "0", "journal_size_limit": "67108864"})
	w.Close()
	var open []*sql.Conn
	for range 4 {
		c, err := s.read.Conn(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		open = append(open, c)
		check(c, map[string]string{"synchronous": "2", "journal_mode": "wal", "foreign_keys": "1", "busy_timeout": "5000", "query_only": "1"})
		if _, err := c.ExecContext(t.Context(), "DELETE FROM heads"); err == nil {
			t.Error("a reader writes")
		}
	}
	for _, c := range open {
		c.Close()
	}
}

// What was kept stays, whatever a statement says.
func TestNothingChanges(t *testing.T) {
	s := open(t, t.TempDir())
	fill(t, s, 2)
	for _, q := range []string{
		"UPDATE revisions SET sentence = 'other'", "DELETE FROM revisions", "UPDATE documents SET bytes = x'00'", "DELETE FROM documents",
		"INSERT INTO heads (site, revision) VALUES ('none', 'none')",
	} {
		if _, err := s.write.Exec(q); err == nil {
			t.Errorf("%s: went through", q)
		}
	}
}

func TestModes(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("no modes here")
	}
	dir := filepath.Join(t.TempDir(), "data")
	s := open(t, dir)
	fill(t, s, 1)
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		st, err := d.Info()
		if err != nil {
			return err
		}
		if st.Mode().Perm()&0o077 != 0 {
			t.Errorf("%s has mode %v", path, st.Mode())
		}
		return nil
	})
	if err != nil {
		t.Error(err)
	}
}

func TestFolderOfOthers(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "letter.txt"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	_, err := Open(t.Context(), Options{Dir: dir, Now: now})
	wantKind(t, err, store.Wrong)
	if es, _ := os.ReadDir(dir); len(es) != 1 {
		t.Errorf("the folder was written into: %v", es)
	}
}

func TestTwoPrograms(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	_, err := Open(t.Context(), Options{Dir: dir, Now: now})
	wantKind(t, err, store.Busy)
	if want := fmt.Sprintf("process %d", os.Getpid()); !strings.Contains(err.Error(), want) {
		t.Errorf("%v does not name %s", err, want)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	open(t, dir)
}

func TestNewerAndForeign(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	fill(t, s, 1)
	if _, err := s.write.Exec(fmt.Sprintf("PRAGMA user_version = %d", latest()+1)); err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	before, err := os.ReadFile(filepath.Join(dir, File))
	if err != nil {
		t.Fatal(err)
	}
	_, err = Open(t.Context(), Options{Dir: dir, Now: now})
	wantKind(t, err, store.Newer)
	_, err = Backup(t.Context(), dir, filepath.Join(t.TempDir(), "b.db"))
	wantKind(t, err, store.Newer)
	after, err := os.ReadFile(filepath.Join(dir, File))
	if err != nil || !bytes.Equal(before, after) {
		t.Error("a refused database was changed", err)
	}

	other := t.TempDir()
	db, err := sql.Open("sqlite", filepath.Join(other, File))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := db.Exec("CREATE TABLE recipes (name TEXT)"); err != nil {
		t.Fatal(err)
	}
	db.Close()
	_, err = Open(t.Context(), Options{Dir: other, Now: now})
	wantKind(t, err, store.Wrong)
}

// A migration that stops in its middle leaves the step before it.
func TestMigrationWhole(t *testing.T) {
	dir := t.TempDir()
	db, err := sql.Open("sqlite", dsn(filepath.Join(dir, File), asWriter))
	if err != nil {
		t.Fatal(err)
	}
	b, err := migrations.ReadFile("migrations/0001_sites.sql")
	if err != nil {
		t.Fatal(err)
	}
	tx, err := db.Begin()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := tx.Exec(string(b)); err != nil {
		t.Fatal(err)
	}
	tx.Rollback()
	db.Close()
	fill(t, open(t, dir), 1)
}

// A folder of each earlier format opens with all that it holds, and goes on.
func TestForward(t *testing.T) {
	for format := 1; format < latest(); format++ {
		dir := t.TempDir()
		db, err := sql.Open("sqlite", dsn(filepath.Join(dir, File), asWriter))
		if err != nil {
			t.Fatal(err)
		}
		db.SetMaxOpenConns(1)
		entries, err := migrations.ReadDir("migrations")
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range entries[:format] {
			b, err := migrations.ReadFile("migrations/" + e.Name())
			if err != nil {
				t.Fatal(err)
			}
			if _, err := db.Exec(string(b)); err != nil {
				t.Fatal(err)
			}
		}
		n := store.New{Text: []byte("depth: 30 in\n"), Sentence: "first", At: now(), Name: "north yard"}
		r, err := n.Revise("S")
		if err != nil {
			t.Fatal(err)
		}
		tx, err := db.Begin()
		if err != nil {
			t.Fatal(err)
		}
		if _, err := tx.Exec("INSERT INTO sites (id, name, example, created, head) VALUES ('S', 'north yard', 0, ?, ?)", stamped(now()), r.ID); err != nil {
			t.Fatal(err)
		}
		if err := insert(t.Context(), tx, &r, n.Text, stamped(now())); err != nil {
			t.Fatal(err)
		}
		if _, err := tx.Exec(fmt.Sprintf("PRAGMA application_id = %d; PRAGMA user_version = %d", applicationID, format)); err != nil {
			t.Fatal(err)
		}
		if err := tx.Commit(); err != nil {
			t.Fatal(err)
		}
		db.Close()

		s := open(t, dir)
		if _, text, err := s.Document(t.Context(), "S", ""); err != nil || string(text) != "depth: 30 in\n" {
			t.Fatalf("format %d: %q %v", format, text, err)
		}
		next := store.New{Text: []byte("depth: 36 in\n"), Sentence: "deeper", At: now(), Parents: []string{r.ID}, Request: store.Asked("q", "deeper")}
		one, added, err := s.Append(t.Context(), "S", next)
		if err != nil || !added {
			t.Fatal(format, added, err)
		}
		if again, added, err := s.Append(t.Context(), "S", next); err != nil || added || again.ID != one.ID {
			t.Errorf("format %d: asked again: %v %v", format, added, err)
		}
		if rep, err := s.Verify(t.Context()); err != nil || !rep.Whole() {
			t.Errorf("format %d: %v %v", format, err, rep.Faults)
		}
		if v, err := version(t.Context(), s.write); err != nil || v != latest() {
			t.Errorf("format %d became %d, %v", format, v, err)
		}
	}
}

func TestNoRoom(t *testing.T) {
	dir := t.TempDir()
	s, err := Open(t.Context(), Options{Dir: dir, Now: now, MaxPages: 60})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	ids := fill(t, s, 1)
	head := ids[1]
	var last error
	for i := range 200 {
		text := make([]byte, 8000)
		rand.Read(text)
		r, _, err := s.Append(t.Context(), "S", store.New{Text: text, Sentence: "more", At: now().Add(time.Duration(i) * time.Second), Parents: []string{head}})
		if err != nil {
			last = err
			break
		}
		head = r.ID
		ids = append(ids, r.ID)
	}
	wantKind(t, last, store.Full)
	for _, id := range ids {
		if _, _, err := s.Document(t.Context(), "S", id); err != nil {
			t.Fatal("reading after the store was full:", err)
		}
	}
	if _, err := s.write.Exec("PRAGMA max_page_count = 100000"); err != nil {
		t.Fatal(err)
	}
	if _, _, err := s.Append(t.Context(), "S", store.New{Text: make([]byte, 8000), Sentence: "again", At: now(), Parents: []string{head}}); err != nil {
		t.Error("writing did not return:", err)
	}
}

// Garbage in the place of the database, bytes flipped in it, and a file cut
// short: said, never handed out, and what still reads can be taken out.
func TestDamaged(t *testing.T) {
	whole := t.TempDir()
	s := open(t, whole)
	ids := fill(t, s, 60)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	good, err := os.ReadFile(filepath.Join(whole, File))
	if err != nil {
		t.Fatal(err)
	}
	put := func(b []byte) string {
		dir := t.TempDir()
		if err := os.WriteFile(filepath.Join(dir, File), b, 0o600); err != nil {
			t.Fatal(err)
		}
		return dir
	}

	t.Run("garbage", func(t *testing.T) {
		_, err := Open(t.Context(), Options{Dir: put(bytes.Repeat([]byte("not a database. "), 4096)), Now: now})
		wantKind(t, err, store.Damaged)
	})
	t.Run("a letter of a document", func(t *testing.T) {
		bad := bytes.Clone(good)
		i := bytes.Index(bad, []byte("depth: 41 in\n"))
		if i < 0 {
			t.Fatal("the document is not in the file as it is")
		}
		bad[i+7] = '9'
		dir := put(bad)
		s := open(t, dir)
		_, text, err := s.Document(t.Context(), "S", ids[42])
		wantKind(t, err, store.Damaged)
		if text != nil || !strings.Contains(err.Error(), ids[42]) {
			t.Errorf("%q %v", text, err)
		}
		if _, _, err := s.Document(t.Context(), "S", ids[41]); err != nil {
			t.Error("its neighbor does not read:", err)
		}
		rep, err := s.Verify(t.Context())
		if err != nil || len(rep.Faults) != 1 {
			t.Errorf("%v %v", rep.Faults, err)
		}
		// The good bytes are not hidden behind the bad ones of the same name.
		text = fmt.Appendf(nil, "depth: 41 in\n%s", strings.Repeat("# what stands here\n", 200))
		_, _, err = s.Append(t.Context(), "S", store.New{Text: text, Sentence: "back", At: now(), Parents: []string{ids[60]}})
		wantKind(t, err, store.Damaged)
		_, err = Backup(t.Context(), dir, filepath.Join(t.TempDir(), "b.db"))
		wantKind(t, err, store.Damaged)
	})
	t.Run("a letter of a sentence", func(t *testing.T) {
		s := open(t, put(bytes.Replace(bytes.Clone(good), []byte("deeper[]"), []byte("deepes[]"), -1)))
		rep, err := s.Verify(t.Context())
		if err != nil || rep.Whole() {
			t.Errorf("a changed sentence was not seen: %v %v", rep, err)
		}
	})
	t.Run("the newest document", func(t *testing.T) {
		bad := bytes.Clone(good)
		bad[bytes.Index(bad, []byte("depth: 59 in\n"))+7] = '0'
		var got []Saved
		lost, err := Salvage(t.Context(), put(bad), func(d Saved) error { got = append(got, d); return nil })
		if err != nil || len(lost) != 1 || len(got) != 1 || got[0].Newest || got[0].Revision != ids[59] {
			t.Errorf("%v %v %+v", lost, err, got)
		}
	})
	// At every cut and in every page: no panic, no wrong bytes.
	t.Run("pages", func(t *testing.T) {
		seen := 0
		for i := range 24 {
			bad := bytes.Clone(good)
			if i%4 == 3 {
				bad = bad[:len(bad)*(i+1)/25]
			} else {
				at := 4096*(1+i*(len(bad)/4096-2)/24) + 20
				for j := range 400 {
					bad[at+j] ^= byte(37*j + 11)
				}
			}
			dir := put(bad)
			os.WriteFile(filepath.Join(dir, lockFile), []byte("process 1\n"), 0o600) // not closed: looked at on opening
			s, err := Open(t.Context(), Options{Dir: dir, Now: now})
			if err != nil {
				wantKind(t, err, store.Damaged)
				seen++
			} else {
				rep, _ := s.Verify(t.Context())
				if !rep.Whole() {
					seen++
				}
				for k, id := range ids {
					if _, text, err := s.Document(t.Context(), "S", id); err == nil && k > 0 && !bytes.HasPrefix(text, fmt.Appendf(nil, "depth: %d in\n", k-1)) {
						t.Errorf("damage %d: revision %d came back as %.20q", i, k, text)
					}
				}
				s.Close()
			}
			Salvage(t.Context(), dir, func(d Saved) error {
				if store.DocumentHash(d.Text) == "" {
					t.Error("no hash")
				}
				return nil
			})
		}
		if seen < 20 {
			t.Errorf("of 24 damages %d were seen", seen)
		}
	})
}

func TestBackup(t *testing.T) {
	dir, out := t.TempDir(), t.TempDir()
	s := open(t, dir)
	ids := fill(t, s, 20)
	// A writer goes on meanwhile.
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan int)
	go func() {
		n, head := 0, ids[len(ids)-1]
		for ctx.Err() == nil {
			r, _, err := s.Append(context.Background(), "S", store.New{Text: fmt.Append(nil, n), Sentence: "on", At: now(), Parents: []string{head}})
			if err != nil {
				t.Error(err)
				break
			}
			head = r.ID
			n++
		}
		done <- n
	}()
	file := filepath.Join(out, "b.db")
	rep, err := Backup(t.Context(), dir, file)
	cancel()
	if n := <-done; err != nil || !rep.Whole() || rep.Revisions < len(ids) || rep.Revisions > len(ids)+n {
		t.Fatal(rep, err, n)
	}
	if st, err := os.Stat(file); err != nil || runtime.GOOS != "windows" && st.Mode().Perm() != 0o600 {
		t.Error(st.Mode(), err)
	}
	if es, _ := os.ReadDir(out); len(es) != 1 {
		t.Errorf("left beside the backup: %v", es)
	}
	_, err = Backup(t.Context(), dir, file)
	wantKind(t, err, store.Wrong)
	_, err = Backup(t.Context(), t.TempDir(), filepath.Join(out, "none.db"))
	wantKind(t, err, store.NotFound)

	_, err = Restore(t.Context(), file, dir)
	wantKind(t, err, store.Wrong)
	to := filepath.Join(t.TempDir(), "new")
	again, err := Restore(t.Context(), file, to)
	if err != nil || again.Revisions != rep.Revisions {
		t.Fatal(again, err)
	}
	r := open(t, to)
	for _, id := range ids {
		_, a, err := s.Document(t.Context(), "S", id)
		_, b, err2 := r.Document(t.Context(), "S", id)
		if err != nil || err2 != nil || !bytes.Equal(a, b) {
			t.Fatal(err, err2)
		}
	}
	x, err := r.Site(t.Context(), "S")
	if err != nil {
		t.Fatal(err)
	}
	if _, _, err := r.Append(t.Context(), "S", store.New{Text: []byte("after"), Sentence: "after", At: now(), Parents: []string{x.Head}}); err != nil {
		t.Error("a restored store does not go on:", err)
	}

	// A damaged backup is named, and nothing is written.
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	b[bytes.Index(b, []byte("depth: 7 in\n"))+7] = '8'
	bad := filepath.Join(out, "bad.db")
	if err := os.WriteFile(bad, b, 0o600); err != nil {
		t.Fatal(err)
	}
	never := filepath.Join(t.TempDir(), "never")
	_, err = Restore(t.Context(), bad, never)
	wantKind(t, err, store.Damaged)
	if _, err := os.Stat(never); err == nil {
		t.Error("a damaged backup made a folder")
	}
	_, err = Restore(t.Context(), filepath.Join(out, "none.db"), never)
	wantKind(t, err, store.NotFound)
}

// A hundred thousand revisions open again at once after a stop that was not one.
func TestOpenLarge(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	ids := fill(t, s, 0)
	// One statement for each table, with ids of their kind: made one by one they
	// would take a minute.
	tx, err := s.write.Begin()
	if err != nil {
		t.Fatal(err)
	}
	for _, q := range []string{
		"CREATE TEMP TABLE made AS WITH RECURSIVE n (i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 100000) SELECT i, lower(hex(randomblob(32))) AS id, lower(hex(randomblob(32))) AS hash FROM n",
		"INSERT INTO documents SELECT hash, CAST(printf('depth: %d in%s', i, replace(hex(zeroblob(350)), '00', char(10) || '#')) AS BLOB) FROM made ORDER BY hash",
		"INSERT INTO revisions (id, site, document, size, sentence, edits, author, at, arrived, draft) SELECT m.id, 'S', hash, length(d.bytes), 'deeper', '[]', 'me', r.at, r.arrived, 0 FROM made m JOIN documents d USING (hash), revisions r WHERE r.seq = 1 ORDER BY i",
		"INSERT INTO parents SELECT id, 0, coalesce((SELECT id FROM made p WHERE p.rowid = m.rowid - 1), '" + ids[0] + "') FROM made m ORDER BY id",
		"DELETE FROM heads",
		"INSERT INTO heads SELECT 'S', id FROM made WHERE i = 100000",
		"UPDATE sites SET head = (SELECT revision FROM heads) WHERE id = 'S'",
		"DROP TABLE made",
	} {
		if _, err := tx.Exec(q); err != nil {
			t.Fatal(err, q)
		}
	}
	if err := tx.Commit(); err != nil {
		t.Fatal(err)
	}
	if x, err := s.Site(t.Context(), "S"); err != nil || x.Revisions != 100_001 {
		t.Fatal(x.Revisions, err)
	}
	// The best of two counts, since other programs may have the machine.
	best := time.Hour
	for range 2 {
		s.shut()
		s.lock.release(false)
		start := time.Now()
		s = open(t, dir)
		if _, err := s.Sites(t.Context()); err != nil {
			t.Fatal(err)
		}
		best = min(best, time.Since(start))
	}
	t.Logf("opened in %v", best)
	if best > 2*time.Second {
		t.Errorf("opening 100,000 revisions after a kill took %v, promised are 2 s", best)
	}
}
