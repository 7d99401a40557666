-- Sites, their revisions, the documents by hash, and which revisions are heads.
-- Times are RFC 3339 in UTC with microseconds, so that text order is time order.
CREATE TABLE documents (
  hash  TEXT PRIMARY KEY,
  bytes BLOB NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE sites (
  id      TEXT PRIMARY KEY,
  name    TEXT NOT NULL,
  example INTEGER NOT NULL,
  created TEXT NOT NULL,
  head    TEXT NOT NULL REFERENCES revisions (id) DEFERRABLE INITIALLY DEFERRED
) STRICT;

CREATE TABLE revisions (
  seq      INTEGER PRIMARY KEY AUTOINCREMENT,
  id       TEXT NOT NULL UNIQUE,
  site     TEXT NOT NULL REFERENCES sites (id),
  document TEXT NOT NULL REFERENCES documents (hash),
  size     INTEGER NOT NULL,
  sentence TEXT NOT NULL,
  edits    TEXT NOT NULL, -- JSON list of path, old, new, sentence
  author   TEXT NOT NULL,
  at       TEXT NOT NULL, -- when it was made
  arrived  TEXT NOT NULL, -- when it came into this store
  draft    INTEGER NOT NULL
) STRICT;

CREATE INDEX revisions_by_site ON revisions (site, seq);

CREATE TABLE parents (
  child  TEXT NOT NULL REFERENCES revisions (id),
  place  INTEGER NOT NULL,
  parent TEXT NOT NULL REFERENCES revisions (id),
  PRIMARY KEY (child, place)
) STRICT, WITHOUT ROWID;

CREATE TABLE heads (
  site     TEXT NOT NULL REFERENCES sites (id),
  revision TEXT NOT NULL REFERENCES revisions (id),
  PRIMARY KEY (site, revision)
) STRICT, WITHOUT ROWID;

-- What was kept stays as it was kept, whatever a later program does by mistake.
CREATE TRIGGER revisions_stay BEFORE UPDATE ON revisions BEGIN SELECT RAISE (ABORT, 'a revision never changes'); END;
CREATE TRIGGER revisions_keep BEFORE DELETE ON revisions BEGIN SELECT RAISE (ABORT, 'a revision is never removed'); END;
CREATE TRIGGER documents_stay BEFORE UPDATE ON documents BEGIN SELECT RAISE (ABORT, 'a document never changes'); END;
CREATE TRIGGER documents_keep BEFORE DELETE ON documents BEGIN SELECT RAISE (ABORT, 'a document is never removed'); END;
