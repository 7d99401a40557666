// Package sqlite keeps sites in one SQLite file in a folder of its own.
//
// A write is answered after its commit reached the disk: write-ahead log with
// synchronous FULL on every connection. (NORMAL keeps the file whole over a
// power cut, but loses commits that were answered; see
// https://www.sqlite.org/pragma.html#pragma_synchronous.) There is one writer
// and a pool of readers that cannot write. One program at a time has the
// folder.
package sqlite

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"sync/atomic"
	"time"

	driver "modernc.org/sqlite"

	"stubup/internal/store"
)

// File is the name of the database in its folder.
const File = "stubup.db"

// applicationID marks the file as ours in its header: "STUB".
const applicationID = 0x53545542

//go:embed migrations/*.sql
var migrations embed.FS

// Options of a store.
type Options struct {
	Dir string           // the folder; made if it is not there
	Now func() time.Time // the clock, for the time of arrival
	// MaxPages limits the file, in pages of 4 KiB; 0 for no limit.
	MaxPages int
}

// Store is a store.Store in one file.
type Store struct {
	opt     Options
	write   *sql.DB
	read    *sql.DB
	lock    *lock
	fresh   bool
	stopped atomic.Pointer[error] // a failed sync: nothing is written any more
}

var _ store.Store = (*Store)(nil)

// Fresh reports whether the database was made by this Open.
func (s *Store) Fresh() bool { return s.fresh }

// dsn names a database with the settings of every connection. They are
// constants: the file is the only part that varies, and it is escaped.
func dsn(path, more string) string {
	u := url.URL{Path: filepath.ToSlash(path)}
	return "file:" + u.EscapedPath() + "?_pragma=busy_timeout(5000)&_pragma=foreign_keys(1)&_pragma=trusted_schema(0)&_pragma=cell_size_check(1)&_pragma=synchronous(FULL)" + more
}

const (
	asWriter = "&_txlock=immediate&_pragma=journal_mode(WAL)&_pragma=journal_size_limit(67108864)"
	asReader = "&_pragma=query_only(1)"
)

// Open opens the store of a folder, makes it if there is none, and brings an
// older one forward. A folder that another program has is refused, and so is
// a database that a later program wrote.
func Open(ctx context.Context, opt Options) (_ *Store, err error) {
	dir, err := filepath.Abs(opt.Dir)
	if err != nil {
		return nil, err
	}
	opt.Dir = dir
	path := filepath.Join(dir, File)
	if err := ready(dir); err != nil {
		return nil, err
	}
	l, err := takeLock(dir)
	if err != nil {
		return nil, err
	}
	s := &Store{opt: opt, lock: l}
	defer func() {
		if err != nil {
			s.shut()
			l.release(l.clean)
		}
	}()
	if s.fresh, err = touch(path); err != nil {
		return nil, err
	}
	if s.write, err = sql.Open("sqlite", dsn(path, asWriter)); err != nil {
		return nil, err
	}
	s.write.SetMaxOpenConns(1)
	if err := s.migrate(ctx); err != nil {
		return nil, s.fail(err, "opening "+path)
	}
	if opt.MaxPages > 0 {
		if _, err := s.write.ExecContext(ctx, fmt.Sprintf("PRAGMA max_page_count = %d", opt.MaxPages)); err != nil {
			return nil, s.fail(err, "limiting "+path)
		}
	}
	if s.read, err = sql.Open("sqlite", dsn(path, asReader)); err != nil {
		return nil, err
	}
	s.read.SetMaxOpenConns(4)
	s.read.SetMaxIdleConns(4)
	// After a stop that was not one, look at the pages before anything is
	// promised on them.
	if !l.clean {
		if err := quickCheck(ctx, s.read); err != nil {
			return nil, s.fail(err, "checking "+path)
		}
	}
	return s, nil
}

// ready makes the folder, for its owner's eyes only, and refuses one that
// holds something else.
func ready(dir string) error {
	entries, err := os.ReadDir(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		if err := os.MkdirAll(dir, 0o700); err != nil {
			return world(err, "give --data a folder that can be made")
		}
		return syncFolder(filepath.Dir(dir))
	case err != nil:
		return world(err, "give --data a folder that can be read")
	case !ours(entries):
		return &store.Error{Kind: store.Wrong, What: fmt.Sprintf("%s holds other files and no store", dir), Mend: "give --data an empty folder, or one that is not there yet"}
	}
	if err := os.Chmod(dir, 0o700); err != nil {
		return world(err, "give --data a folder of your own")
	}
	return nil
}

// ours reports whether a folder is empty or holds a store.
func ours(entries []fs.DirEntry) bool {
	for _, e := range entries {
		if e.Name() == File {
			return true
		}
	}
	for _, e := range entries {
		if e.Name() != lockFile {
			return false
		}
	}
	return true
}

// touch makes the file with the mode that the log beside it takes over.
func touch(path string) (fresh bool, err error) {
	f, err := os.OpenFile(path, os.O_CREATE|os.O_RDWR, 0o600)
	if err != nil {
		return false, world(err, "give --data a folder that can be written")
	}
	st, err := f.Stat()
	if err == nil && st.Mode().IsRegular() {
		err = f.Chmod(0o600)
	}
	if cerr := f.Close(); err == nil {
		err = cerr
	}
	if err == nil {
		err = syncFolder(filepath.Dir(path))
	}
	if err != nil {
		return false, world(err, "give --data a folder that can be written")
	}
	return st.Size() == 0, nil
}

func world(err error, mend string) error {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		return &store.Error{What: pe.Path, Mend: mend, Err: pe.Err}
	}
	return &store.Error{What: "the data folder", Mend: mend, Err: err}
}

// syncFolder makes a name in a folder survive the power.
func syncFolder(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	defer d.Close()
	if err := d.Sync(); err != nil && !errors.Is(err, errors.ErrUnsupported) && !syncless(err) {
		return err
	}
	return nil
}

// latest returns the number of the last migration.
func latest() int {
	entries, err := migrations.ReadDir("migrations")
	if err != nil {
		panic(err)
	}
	return len(entries)
}

// migrate brings the database forward, one numbered step a transaction, so
// that a stop in between leaves the step before it.
func (s *Store) migrate(ctx context.Context) error {
	have, err := version(ctx, s.write)
	if err != nil {
		return err
	}
	entries, err := migrations.ReadDir("migrations")
	if err != nil {
		return err
	}
	for i := have; i < len(entries); i++ {
		name := entries[i].Name()
		if want := fmt.Sprintf("%04d_", i+1); len(name) < 5 || name[:5] != want {
			return fmt.Errorf("migration %s should begin with %s", name, want)
		}
		b, err := migrations.ReadFile("migrations/" + name)
		if err != nil {
			return err
		}
		tx, err := s.write.BeginTx(ctx, nil)
		if err != nil {
			return err
		}
		for _, q := range []string{string(b), fmt.Sprintf("PRAGMA application_id = %d", applicationID), fmt.Sprintf("PRAGMA user_version = %d", i+1)} {
			if _, err := tx.ExecContext(ctx, q); err != nil {
				return errors.Join(fmt.Errorf("%s: %w", name, err), tx.Rollback())
			}
		}
		if err := tx.Commit(); err != nil {
			return err
		}
	}
	return nil
}

// version returns how many migrations a database has had, after a look at
// whose it is.
func version(ctx context.Context, db *sql.DB) (int, error) {
	var app, have, objects int
	if err := db.QueryRowContext(ctx, "PRAGMA application_id").Scan(&app); err != nil {
		return 0, err
	}
	if err := db.QueryRowContext(ctx, "PRAGMA user_version").Scan(&have); err != nil {
		return 0, err
	}
	if err := db.QueryRowContext(ctx, "SELECT count(*) FROM sqlite_master").Scan(&objects); err != nil {
		return 0, err
	}
	switch {
	case app != applicationID && (app != 0 || have != 0 || objects != 0):
		return 0, &store.Error{Kind: store.Wrong, What: "the file is a database of another program", Mend: "name another folder or file"}
	case have > latest():
		return 0, &store.Error{
			Kind: store.Newer, What: fmt.Sprintf("the database has format %d, and this program reads up to %d: a later version of the program wrote it", have, latest()),
			Mend: "use the later version; nothing was changed",
		}
	}
	return have, nil
}

func quickCheck(ctx context.Context, db *sql.DB) error {
	var said string
	if err := db.QueryRowContext(ctx, "PRAGMA quick_check(1)").Scan(&said); err != nil {
		return err
	}
	if said != "ok" {
		return damaged(said)
	}
	return nil
}

func damaged(what string) *store.Error {
	return &store.Error{
		Kind: store.Damaged, What: "the database is damaged: " + what,
		Mend: "stop, and keep the folder as it is. What was read before stays right, and every document is checked against its hash before it is shown, so nothing wrong is handed out. " +
			"Restore the last backup into a new folder with \"stubup restore BACKUP --data NEWFOLDER\"; \"stubup backup --documents FOLDER\" takes out every document that still reads",
	}
}

// SQLite's result codes that are acted on (https://www.sqlite.org/rescode.html).
const (
	codeBusy     = 5
	codeLocked   = 6
	codeReadOnly = 8
	codeCorrupt  = 11
	codeFull     = 13
	codeNotADB   = 26
	codeFsync    = 1034 // SQLITE_IOERR_FSYNC
	codeDirFsync = 1290 // SQLITE_IOERR_DIR_FSYNC
)

// fail says an error of the database in the words of the store.
func (s *Store) fail(err error, doing string) error {
	var known *store.Error
	var clash *store.Conflict
	var de *driver.Error
	switch {
	case err == nil:
		return nil
	case errors.As(err, &known):
		if known.Kind == store.Damaged || known.Kind == store.Newer {
			return &store.Error{Kind: known.Kind, What: doing, Mend: known.Mend, Err: known}
		}
		return err
	case errors.As(err, &clash), errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return err
	case !errors.As(err, &de):
		return &store.Error{What: doing, Err: err}
	}
	if de.Code() == codeFsync || de.Code() == codeDirFsync {
		// After a sync that failed, a second one may succeed over pages that
		// were dropped. Nothing more is promised on this file.
		e := error(&store.Error{
			Kind: store.Stopped, What: "the disk did not confirm a write, so nothing is written any more", Err: err,
			Mend: "look at the disk, then start the program again: it will see what is there. What was not answered may or may not be there; send it again",
		})
		s.stopped.CompareAndSwap(nil, &e)
		return e
	}
	switch de.Code() & 0xff {
	case codeFull:
		return &store.Error{Kind: store.Full, What: doing + ": there is no room on the disk", Mend: "make room; reading goes on, and writing returns by itself", Err: err}
	case codeCorrupt, codeNotADB:
		d := damaged(doing)
		d.Err = err
		return d
	case codeBusy, codeLocked:
		return &store.Error{Kind: store.Busy, What: doing + ": another program is writing", Mend: "try again", Err: err}
	case codeReadOnly:
		return &store.Error{What: doing + ": the file cannot be written", Mend: "make the folder and its files writable for you", Err: err}
	}
	return &store.Error{What: doing, Mend: "look at the disk and its room; nothing that was answered is lost", Err: err}
}

// shut closes the connections. The last one takes the log into the file.
func (s *Store) shut() error {
	var errs []error
	if s.read != nil {
		errs = append(errs, s.read.Close())
	}
	if s.write != nil {
		errs = append(errs, s.write.Close())
	}
	return errors.Join(errs...)
}

// Close ends the store. The folder is free then.
func (s *Store) Close() error {
	err := s.shut()
	return errors.Join(err, s.lock.release(err == nil && s.stopped.Load() == nil))
}
