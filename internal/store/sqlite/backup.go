package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"stubup/internal/store"
)

// Backup copies the store of a folder into one new file, while a program may
// be writing into it, and reads the copy whole before it gets its name. A file
// that is there is never written over.
func Backup(ctx context.Context, dir, file string) (rep store.Report, err error) {
	src := filepath.Join(dir, File)
	if _, err := os.Stat(src); err != nil {
		return rep, &store.Error{Kind: store.NotFound, What: "there is no store in " + dir, Mend: "name its folder with --data"}
	}
	if err := free(file); err != nil {
		return rep, err
	}
	// A folder of its own keeps what is not checked yet away from the name.
	tmp, err := os.MkdirTemp(filepath.Dir(file), ".backup-")
	if err != nil {
		return rep, world(err, "name a file in a folder that can be written")
	}
	defer os.RemoveAll(tmp)
	db, err := sql.Open("sqlite", dsn(src, ""))
	if err != nil {
		return rep, err
	}
	defer db.Close()
	db.SetMaxOpenConns(1)
	s := &Store{}
	if have, err := version(ctx, db); err != nil {
		return rep, s.fail(err, "reading "+src)
	} else if have == 0 {
		return rep, &store.Error{Kind: store.NotFound, What: "there is no store in " + dir, Mend: "name its folder with --data"}
	}
	copied := filepath.Join(tmp, File)
	if _, err := touch(copied); err != nil {
		return rep, err
	}
	if _, err := db.ExecContext(ctx, "VACUUM INTO ?", copied); err != nil {
		return rep, s.fail(err, "copying "+src)
	}
	if rep, err = Check(ctx, copied); err != nil {
		return rep, err
	}
	if !rep.Whole() {
		return rep, damaged(rep.Faults[0])
	}
	return rep, place(copied, file)
}

// Check reads a database file whole. Faults are in the report; an error is
// for a file that is no store, or that cannot be read at all.
func Check(ctx context.Context, file string) (rep store.Report, err error) {
	if _, err := os.Stat(file); err != nil {
		return rep, world(err, "name a file that \"stubup backup\" wrote")
	}
	db, err := sql.Open("sqlite", dsn(file, "&mode=ro"+asReader))
	if err != nil {
		return rep, err
	}
	defer db.Close()
	db.SetMaxOpenConns(1)
	s := &Store{}
	have, err := version(ctx, db)
	if err != nil {
		return rep, s.fail(err, "reading "+file)
	}
	if have == 0 {
		return rep, &store.Error{Kind: store.Wrong, What: file + " is no backup", Mend: "name a file that \"stubup backup\" wrote"}
	}
	return verify(ctx, db)
}

// Restore puts a backup into a folder that is empty or not there yet, after
// reading it whole. It never writes over a store.
func Restore(ctx context.Context, file, dir string) (rep store.Report, err error) {
	entries, err := os.ReadDir(dir)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return rep, world(err, "name a folder that can be read")
	}
	if len(entries) > 0 {
		return rep, &store.Error{Kind: store.Wrong, What: dir + " is not empty, and nothing is written over", Mend: "name a new folder with --data"}
	}
	st, err := os.Stat(file)
	if err != nil || !st.Mode().IsRegular() {
		return rep, &store.Error{Kind: store.NotFound, What: "there is no backup file " + file, Mend: "name a file that \"stubup backup\" wrote"}
	}
	if rep, err = Check(ctx, file); err != nil {
		return rep, err
	}
	if !rep.Whole() {
		return rep, &store.Error{Kind: store.Damaged, What: "the backup is damaged: " + rep.Faults[0], Mend: "take an older one; nothing was written"}
	}
	made := errors.Is(dirErr(dir), fs.ErrNotExist)
	if err := ready(dir); err != nil {
		return rep, err
	}
	defer func() {
		if err != nil && made {
			os.Remove(dir)
		}
	}()
	tmp := filepath.Join(dir, ".restore")
	if err := copyFile(file, tmp); err != nil {
		os.Remove(tmp)
		return rep, world(err, "make room, or name another folder with --data")
	}
	// The copy is read as well: a disk that is going bad shows here.
	again, err := Check(ctx, tmp)
	if err == nil && (!again.Whole() || again.Revisions != rep.Revisions) {
		err = &store.Error{Kind: store.Damaged, What: "the copy does not read as the backup does", Mend: "look at the disk, or name a folder on another one"}
	}
	if err == nil {
		err = place(tmp, filepath.Join(dir, File))
	}
	if err != nil {
		os.Remove(tmp)
	}
	return rep, err
}

func dirErr(dir string) error {
	_, err := os.Stat(dir)
	return err
}

func free(file string) error {
	if _, err := os.Lstat(file); err == nil {
		return &store.Error{Kind: store.Wrong, What: file + " is there already, and nothing is written over", Mend: "name a new file"}
	} else if !errors.Is(err, fs.ErrNotExist) {
		return world(err, "name a file in a folder that can be read")
	}
	return nil
}

// place gives a whole file its name, on the disk before it returns.
func place(from, to string) error {
	if err := free(to); err != nil {
		return err
	}
	f, err := os.Open(from)
	if err == nil {
		err = errors.Join(f.Sync(), f.Close())
	}
	if err == nil {
		err = os.Rename(from, to)
	}
	if err == nil {
		err = syncFolder(filepath.Dir(to))
	}
	if err != nil {
		return world(err, "look at the disk and its room")
	}
	return nil
}

func copyFile(from, to string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Sync(), out.Close())
}

// Saved is a document that Salvage took out.
type Saved struct {
	Site, Name, Revision string
	Text                 []byte
	Newest               bool // the last revision of the main line
}

// Salvage hands out, of every site, the newest document that still matches its
// hash, from a database that may be damaged. What does not read is returned as
// sentences.
func Salvage(ctx context.Context, dir string, give func(Saved) error) (lost []string, err error) {
	path := filepath.Join(dir, File)
	if _, err := os.Stat(path); err != nil {
		return nil, &store.Error{Kind: store.NotFound, What: "there is no store in " + dir, Mend: "name its folder with --data"}
	}
	db, err := sql.Open("sqlite", dsn(path, "&_pragma=query_only(1)"))
	if err != nil {
		return nil, err
	}
	defer db.Close()
	db.SetMaxOpenConns(1)
	s := &Store{}
	type row struct{ site, name, head, id, document string }
	var all []row
	// Read by the table itself: an index may be what is damaged.
	rows, err := db.QueryContext(ctx, "SELECT r.site, coalesce(s.name, ''), coalesce(s.head, ''), r.id, r.document FROM revisions r LEFT JOIN sites s ON s.id = r.site ORDER BY r.seq DESC")
	if err != nil {
		return nil, s.fail(err, "reading "+path)
	}
	for rows.Next() {
		var r row
		if err := rows.Scan(&r.site, &r.name, &r.head, &r.id, &r.document); err != nil {
			lost = append(lost, err.Error())
			continue
		}
		all = append(all, r)
	}
	if err := errors.Join(rows.Err(), rows.Close()); err != nil {
		lost = append(lost, "the list of revisions breaks off: "+err.Error())
	}
	done := map[string]bool{}
	take := func(r row) error {
		var text []byte
		if err := db.QueryRowContext(ctx, "SELECT bytes FROM documents WHERE hash = ?", r.document).Scan(&text); err != nil || store.DocumentHash(text) != r.document {
			lost = append(lost, fmt.Sprintf("site %s (%s): the document of revision %s does not read", r.site, r.name, r.id))
			return nil
		}
		done[r.site] = true
		return give(Saved{Site: r.site, Name: r.name, Revision: r.id, Text: text, Newest: r.id == r.head})
	}
	for pass := range 2 { // the heads first, then whatever is the newest
		for _, r := range all {
			if done[r.site] || pass == 0 && r.id != r.head || pass == 1 && r.id == r.head {
				continue
			}
			if err := take(r); err != nil {
				return lost, err
			}
		}
	}
	return lost, ctx.Err()
}
