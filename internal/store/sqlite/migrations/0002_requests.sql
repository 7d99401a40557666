-- Requests that were answered with a revision, by the id that the asking
-- program made: the same one again is answered as it was the first time.
CREATE TABLE requests (
  id       TEXT PRIMARY KEY,
  body     TEXT NOT NULL, -- sha256 of what was sent
  revision TEXT NOT NULL REFERENCES revisions (id)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER requests_stay BEFORE UPDATE ON requests BEGIN SELECT RAISE (ABORT, 'an answer never changes'); END;
CREATE TRIGGER requests_keep BEFORE DELETE ON requests BEGIN SELECT RAISE (ABORT, 'an answer is never removed'); END;
