package sqlite

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"time"

	"stubup/internal/store"
)

// stamp is how a time stands in the database.
const stamp = "2006-01-02T15:04:05.000000Z"

func stamped(t time.Time) string { return t.UTC().Format(stamp) }

func unstamp(s string) (time.Time, error) {
	t, err := time.Parse(stamp, s)
	if err != nil {
		return t, damaged(fmt.Sprintf("%q is no time", s))
	}
	return t, nil
}

// reading runs f over one state of the database.
func (s *Store) reading(ctx context.Context, doing string, f func(tx *sql.Tx) error) error {
	tx, err := s.read.BeginTx(ctx, nil)
	if err != nil {
		return s.fail(err, doing)
	}
	defer tx.Rollback()
	return s.fail(f(tx), doing)
}

// writing runs f in a transaction and returns after its commit is on the disk.
func (s *Store) writing(ctx context.Context, doing string, f func(tx *sql.Tx) error) error {
	if e := s.stopped.Load(); e != nil {
		return *e
	}
	tx, err := s.write.BeginTx(ctx, nil)
	if err != nil {
		return s.fail(err, doing)
	}
	if err := f(tx); err != nil {
		err = s.fail(err, doing)
		tx.Rollback()
		return err
	}
	return s.fail(tx.Commit(), doing)
}

// Sites lists all sites, oldest first.
func (s *Store) Sites(ctx context.Context) ([]store.Site, error) {
	out := []store.Site{}
	err := s.reading(ctx, "listing the sites", func(tx *sql.Tx) error {
		rows, err := tx.QueryContext(ctx, "SELECT id FROM sites ORDER BY created, id")
		if err != nil {
			return err
		}
		defer rows.Close()
		ids := []string{}
		for rows.Next() {
			var id string
			if err := rows.Scan(&id); err != nil {
				return err
			}
			ids = append(ids, id)
		}
		if err := rows.Err(); err != nil {
			return err
		}
		for _, id := range ids {
			x, err := siteOf(ctx, tx, id)
			if err != nil {
				return err
			}
			out = append(out, x)
		}
		return nil
	})
	return out, err
}

// Site returns one site.
func (s *Store) Site(ctx context.Context, id string) (out store.Site, err error) {
	err = s.reading(ctx, "reading site "+id, func(tx *sql.Tx) error {
		out, err = siteOf(ctx, tx, id)
		return err
	})
	return out, err
}

func siteOf(ctx context.Context, tx *sql.Tx, id string) (store.Site, error) {
	x := store.Site{ID: id, Heads: []string{}}
	var created, changed string
	err := tx.QueryRowContext(ctx, `SELECT s.name, s.example, s.created, s.head, count(r.seq), coalesce(max(r.arrived), s.created)
		FROM sites s LEFT JOIN revisions r ON r.site = s.id WHERE s.id = ? GROUP BY s.id`, id).Scan(&x.Name, &x.Example, &created, &x.Head, &x.Revisions, &changed)
	if errors.Is(err, sql.ErrNoRows) {
		return x, noSite()
	}
	if err != nil {
		return x, err
	}
	if x.Created, err = unstamp(created); err != nil {
		return x, err
	}
	if x.Changed, err = unstamp(changed); err != nil {
		return x, err
	}
	rows, err := tx.QueryContext(ctx, "SELECT h.revision FROM heads h JOIN revisions r ON r.id = h.revision WHERE h.site = ? ORDER BY r.seq", id)
	if err != nil {
		return x, err
	}
	defer rows.Close()
	for rows.Next() {
		var h string
		if err := rows.Scan(&h); err != nil {
			return x, err
		}
		x.Heads = append(x.Heads, h)
	}
	if err := rows.Err(); err != nil {
		return x, err
	}
	if !slices.Contains(x.Heads, x.Head) {
		return x, damaged("the head of site " + id + " is none of its heads")
	}
	return x, nil
}

func noSite() error {
	return &store.Error{Kind: store.NotFound, What: "there is no such site", Mend: "look at the list of sites"}
}

func noRevision() error {
	return &store.Error{Kind: store.NotFound, What: "the site has no such revision", Mend: "look at its list of revisions"}
}

// Create makes a site with its first revision.
func (s *Store) Create(ctx context.Context, id string, example bool, first store.New) (x store.Site, r store.Revision, err error) {
	first.Parents = nil
	if r, err = first.Revise(id); err != nil {
		return x, r, err
	}
	if id == "" || len(id) > 64 {
		return x, r, &store.Error{Kind: store.Wrong, What: "a site needs an id of 1 to 64 signs", Mend: "make one"}
	}
	err = s.writing(ctx, "making site "+id, func(tx *sql.Tx) error {
		if had, err := answered(ctx, tx, first.Request); had != nil || err != nil {
			if err != nil {
				return err
			}
			r = *had
			x, err = asMade(ctx, tx, r, first.Name)
			return err
		}
		var n int
		if err := tx.QueryRowContext(ctx, "SELECT count(*) FROM sites WHERE id = ?", id).Scan(&n); err != nil {
			return err
		}
		if n > 0 {
			return &store.Error{Kind: store.Wrong, What: "there is a site with this id", Mend: "make another id"}
		}
		now := stamped(s.opt.Now())
		if _, err := tx.ExecContext(ctx, "INSERT INTO sites (id, name, example, created, head) VALUES (?, ?, ?, ?, ?)", id, first.Name, example, now, r.ID); err != nil {
			return err
		}
		if err := insert(ctx, tx, &r, first.Text, now); err != nil {
			return err
		}
		if err := remember(ctx, tx, first.Request, r.ID); err != nil {
			return err
		}
		x, err = siteOf(ctx, tx, id)
		return err
	})
	return x, r, err
}

// answered finds the revision that a request was answered with; nil where it
// never was.
func answered(ctx context.Context, tx *sql.Tx, q store.Request) (*store.Revision, error) {
	if q.ID == "" {
		return nil, nil
	}
	var body, site, id string
	err := tx.QueryRowContext(ctx, "SELECT q.body, r.site, r.id FROM requests q JOIN revisions r ON r.id = q.revision WHERE q.id = ?", q.ID).Scan(&body, &site, &id)
	switch {
	case errors.Is(err, sql.ErrNoRows):
		return nil, nil
	case err != nil:
		return nil, err
	case body != q.Body:
		return nil, store.OtherBody()
	}
	r, err := revisionOf(ctx, tx, site, id)
	return &r, err
}

func remember(ctx context.Context, tx *sql.Tx, q store.Request, revision string) error {
	if q.ID == "" {
		return nil
	}
	_, err := tx.ExecContext(ctx, "INSERT INTO requests (id, body, revision) VALUES (?, ?, ?)", q.ID, q.Body, revision)
	return err
}

// asMade is a site as it stood when its first revision had been kept.
func asMade(ctx context.Context, tx *sql.Tx, first store.Revision, name string) (store.Site, error) {
	x, err := siteOf(ctx, tx, first.Site)
	x.Name, x.Changed, x.Head, x.Heads, x.Revisions = name, x.Created, first.ID, []string{first.ID}, 1
	return x, err
}

// insert puts a revision, its document and its parents, and makes it a head.
func insert(ctx context.Context, tx *sql.Tx, r *store.Revision, text []byte, now string) error {
	if text == nil {
		text = []byte{}
	}
	var have []byte
	switch err := tx.QueryRowContext(ctx, "SELECT bytes FROM documents WHERE hash = ?", r.Document).Scan(&have); {
	case errors.Is(err, sql.ErrNoRows):
		if _, err := tx.ExecContext(ctx, "INSERT INTO documents (hash, bytes) VALUES (?, ?)", r.Document, text); err != nil {
			return err
		}
	case err != nil:
		return err
	case !bytes.Equal(have, text):
		// A name that is there must not make good bytes vanish behind bad ones.
		return damaged("the document " + r.Document[:12] + " does not match its hash")
	}
	edits, err := json.Marshal(r.Edits)
	if err != nil {
		return err
	}
	res, err := tx.ExecContext(ctx, "INSERT INTO revisions (id, site, document, size, sentence, edits, author, at, arrived, draft) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
		r.ID, r.Site, r.Document, r.Size, r.Sentence, string(edits), r.Author, stamped(r.At), now, r.Draft)
	if err != nil {
		return err
	}
	if r.Seq, err = res.LastInsertId(); err != nil {
		return err
	}
	for i, p := range r.Parents {
		if _, err := tx.ExecContext(ctx, "INSERT INTO parents (child, place, parent) VALUES (?, ?, ?)", r.ID, i, p); err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, "DELETE FROM heads WHERE site = ? AND revision = ?", r.Site, p); err != nil {
			return err
		}
	}
	_, err = tx.ExecContext(ctx, "INSERT INTO heads (site, revision) VALUES (?, ?)", r.Site, r.ID)
	return err
}

// Append keeps a revision.
func (s *Store) Append(ctx context.Context, site string, n store.New) (r store.Revision, added bool, err error) {
	if r, err = n.Revise(site); err != nil {
		return r, false, err
	}
	if len(n.Parents) == 0 {
		return r, false, &store.Error{Kind: store.Wrong, What: "a revision needs the one that was edited as its parent", Mend: "name the head that you have read"}
	}
	err = s.writing(ctx, "keeping a revision of site "+site, func(tx *sql.Tx) error {
		x, err := siteOf(ctx, tx, site)
		if err != nil {
			return err
		}
		if had, err := answered(ctx, tx, n.Request); had != nil || err != nil {
			if err == nil {
				r = *had
			}
			return err
		}
		have, err := revisionOf(ctx, tx, site, r.ID)
		if err == nil {
			r = have
			return remember(ctx, tx, n.Request, r.ID)
		}
		if store.KindOf(err) != store.NotFound {
			return err
		}
		for _, p := range n.Parents {
			if slices.Contains(x.Heads, p) {
				continue
			}
			if _, err := revisionOf(ctx, tx, site, p); err != nil {
				return err
			}
			if !n.Beside {
				heads := append([]string{x.Head}, slices.DeleteFunc(slices.Clone(x.Heads), func(h string) bool { return h == x.Head })...)
				return &store.Conflict{Parent: p, Heads: heads}
			}
		}
		if err := insert(ctx, tx, &r, n.Text, stamped(s.opt.Now())); err != nil {
			return err
		}
		if err := remember(ctx, tx, n.Request, r.ID); err != nil {
			return err
		}
		added = true
		if !slices.Contains(n.Parents, x.Head) {
			return nil
		}
		_, err = tx.ExecContext(ctx, "UPDATE sites SET head = ?, name = ? WHERE id = ?", r.ID, n.Name, site)
		return err
	})
	if err != nil {
		return store.Revision{}, false, err
	}
	return r, added, nil
}

const revisionColumns = "seq, id, site, document, size, sentence, edits, author, at, draft"

type scanner interface{ Scan(...any) error }

func scanRevision(row scanner) (r store.Revision, err error) {
	var edits, at string
	if err = row.Scan(&r.Seq, &r.ID, &r.Site, &r.Document, &r.Size, &r.Sentence, &edits, &r.Author, &at, &r.Draft); err != nil {
		return r, err
	}
	if err = json.Unmarshal([]byte(edits), &r.Edits); err != nil {
		return r, damaged("the edits of revision " + r.ID + " do not read")
	}
	r.At, err = unstamp(at)
	return r, err
}

// whole adds the parents, and checks the revision against its name.
func whole(ctx context.Context, tx *sql.Tx, r *store.Revision) error {
	rows, err := tx.QueryContext(ctx, "SELECT parent FROM parents WHERE child = ? ORDER BY place", r.ID)
	if err != nil {
		return err
	}
	defer rows.Close()
	r.Parents = []string{}
	for rows.Next() {
		var p string
		if err := rows.Scan(&p); err != nil {
			return err
		}
		r.Parents = append(r.Parents, p)
	}
	if err := rows.Err(); err != nil {
		return err
	}
	if r.Hash() != r.ID {
		return damaged("revision " + r.ID + " does not match its name")
	}
	return nil
}

func revisionOf(ctx context.Context, tx *sql.Tx, site, id string) (store.Revision, error) {
	if id == "" {
		err := tx.QueryRowContext(ctx, "SELECT head FROM sites WHERE id = ?", site).Scan(&id)
		if errors.Is(err, sql.ErrNoRows) {
			return store.Revision{}, noSite()
		}
		if err != nil {
			return store.Revision{}, err
		}
	}
	r, err := scanRevision(tx.QueryRowContext(ctx, "SELECT "+revisionColumns+" FROM revisions WHERE site = ? AND id = ?", site, id))
	if errors.Is(err, sql.ErrNoRows) {
		var n int
		if err := tx.QueryRowContext(ctx, "SELECT count(*) FROM sites WHERE id = ?", site).Scan(&n); err != nil {
			return r, err
		}
		if n == 0 {
			return r, noSite()
		}
		return r, noRevision()
	}
	if err != nil {
		return r, err
	}
	return r, whole(ctx, tx, &r)
}

// Revision returns one revision; an empty id is the head.
func (s *Store) Revision(ctx context.Context, site, id string) (r store.Revision, err error) {
	err = s.reading(ctx, "reading a revision", func(tx *sql.Tx) error {
		r, err = revisionOf(ctx, tx, site, id)
		return err
	})
	return r, err
}

// Document returns the bytes of one revision, checked against their name.
func (s *Store) Document(ctx context.Context, site, id string) (r store.Revision, text []byte, err error) {
	err = s.reading(ctx, "reading a document", func(tx *sql.Tx) error {
		if r, err = revisionOf(ctx, tx, site, id); err != nil {
			return err
		}
		if err := tx.QueryRowContext(ctx, "SELECT bytes FROM documents WHERE hash = ?", r.Document).Scan(&text); err != nil {
			if errors.Is(err, sql.ErrNoRows) {
				return damaged("the document of revision " + r.ID + " is missing")
			}
			return err
		}
		if store.DocumentHash(text) != r.Document {
			text = nil
			return damaged("the document of revision " + r.ID + " does not match its hash")
		}
		return nil
	})
	return r, text, err
}

// Revisions lists revisions, newest first.
func (s *Store) Revisions(ctx context.Context, site string, before int64, limit int) ([]store.Revision, error) {
	out := []store.Revision{}
	err := s.reading(ctx, "listing revisions", func(tx *sql.Tx) error {
		if _, err := siteOf(ctx, tx, site); err != nil {
			return err
		}
		if before <= 0 {
			before = 1 << 62
		}
		rows, err := tx.QueryContext(ctx, "SELECT "+revisionColumns+" FROM revisions WHERE site = ? AND seq < ? ORDER BY seq DESC LIMIT ?", site, before, limit)
		if err != nil {
			return err
		}
		defer rows.Close()
		for rows.Next() {
			r, err := scanRevision(rows)
			if err != nil {
				return err
			}
			out = append(out, r)
		}
		if err := rows.Err(); err != nil {
			return err
		}
		for i := range out {
			if err := whole(ctx, tx, &out[i]); err != nil {
				return err
			}
		}
		return nil
	})
	return out, err
}

// Verify reads everything and checks every hash.
func (s *Store) Verify(ctx context.Context) (store.Report, error) { return verify(ctx, s.read) }

// verify checks a database: its pages, its references, the name of every
// document and revision, and which revisions are heads. What does not read is
// named and the rest is read on.
func verify(ctx context.Context, db *sql.DB) (rep store.Report, err error) {
	fault := func(format string, args ...any) { rep.Faults = append(rep.Faults, fmt.Sprintf(format, args...)) }
	each := func(query string, f func(rows *sql.Rows) error) {
		rows, err := db.QueryContext(ctx, query)
		if err != nil {
			fault("%v", err)
			return
		}
		defer rows.Close()
		for rows.Next() {
			if err := f(rows); err != nil {
				fault("%v", err)
			}
		}
		if err := rows.Err(); err != nil {
			fault("%v", err)
		}
	}
	each("PRAGMA integrity_check(20)", func(rows *sql.Rows) error {
		var said string
		if err := rows.Scan(&said); err != nil || said == "ok" {
			return err
		}
		return errors.New(said)
	})
	each("PRAGMA foreign_key_check", func(*sql.Rows) error { return errors.New("a reference leads nowhere") })

	docs := map[string]bool{}
	each("SELECT hash, bytes FROM documents", func(rows *sql.Rows) error {
		var hash string
		var b sql.RawBytes
		if err := rows.Scan(&hash, &b); err != nil {
			return err
		}
		rep.Documents++
		rep.Bytes += int64(len(b))
		docs[hash] = true
		if store.DocumentHash(b) != hash {
			return fmt.Errorf("document %s does not match its hash", hash)
		}
		return nil
	})
	parents := map[string][]string{}
	followed := map[string]bool{}
	each("SELECT child, parent FROM parents ORDER BY child, place", func(rows *sql.Rows) error {
		var c, p string
		if err := rows.Scan(&c, &p); err != nil {
			return err
		}
		parents[c] = append(parents[c], p)
		followed[p] = true
		return nil
	})
	heads := map[string]string{} // revision to site
	each("SELECT site, revision FROM heads", func(rows *sql.Rows) error {
		var site, r string
		err := rows.Scan(&site, &r)
		heads[r] = site
		return err
	})
	each("SELECT "+revisionColumns+" FROM revisions ORDER BY seq", func(rows *sql.Rows) error {
		r, err := scanRevision(rows)
		if err != nil {
			return err
		}
		rep.Revisions++
		r.Parents = parents[r.ID]
		if r.Hash() != r.ID {
			fault("revision %s does not match its name", r.ID)
		}
		if !docs[r.Document] {
			fault("the document of revision %s is missing", r.ID)
		}
		if site, is := heads[r.ID]; is == followed[r.ID] || is && site != r.Site {
			fault("revision %s and the list of heads do not agree", r.ID)
		}
		return nil
	})
	each("SELECT id, head FROM sites", func(rows *sql.Rows) error {
		var id, head string
		if err := rows.Scan(&id, &head); err != nil {
			return err
		}
		rep.Sites++
		if heads[head] != id {
			return fmt.Errorf("the head of site %s is none of its heads", id)
		}
		return nil
	})
	return rep, ctx.Err()
}
