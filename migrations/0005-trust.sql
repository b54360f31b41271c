-- Who did what, when and from which tablet; the tablets a PIN works on; and a password for everywhere else.

-- Each entry holds the hash of the one before, so that a changed or missing entry shows. `content` is the SHA-256 of the
-- row as it then stood, so that a changed or missing row shows too. Ids stand as they were: they may name what is gone.
CREATE TABLE trail (
  seq       INTEGER NOT NULL PRIMARY KEY CHECK (seq > 0),
  at        TEXT NOT NULL,
  person_id TEXT, -- null: nobody was signed in, or the program itself
  tablet_id TEXT, -- null: not from an enrolled tablet
  what      TEXT NOT NULL CHECK (what IN ('added', 'changed', 'removed', 'happened')),
  subject   TEXT NOT NULL, -- the table; for what happened, the kind of event
  key       TEXT NOT NULL,
  old       TEXT CHECK (old IS NULL OR json_valid(old)), -- of what changed; secrets are named, not shown
  new       TEXT CHECK (new IS NULL OR json_valid(new)),
  content   TEXT,
  previous  TEXT NOT NULL,
  hash      TEXT NOT NULL
) STRICT, WITHOUT ROWID;
CREATE INDEX trail_subject ON trail (subject, key, seq);

CREATE TRIGGER trail_no_update BEFORE UPDATE ON trail BEGIN SELECT RAISE(ABORT, 'trail only append'); END;
CREATE TRIGGER trail_no_delete BEFORE DELETE ON trail BEGIN SELECT RAISE(ABORT, 'trail only append'); END;
CREATE TRIGGER trail_no_replace BEFORE INSERT ON trail WHEN EXISTS (SELECT 1 FROM trail WHERE seq = NEW.seq) BEGIN SELECT RAISE(ABORT, 'trail only append'); END;

-- The token itself is only in the tablet's cookie.
CREATE TABLE tablets (
  id          TEXT NOT NULL PRIMARY KEY,
  name        TEXT NOT NULL UNIQUE COLLATE NOCASE CHECK (length(name) BETWEEN 1 AND 60),
  token_hash  TEXT NOT NULL UNIQUE,
  enrolled_at TEXT NOT NULL,
  enrolled_by TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  revoked_at  TEXT,
  revoked_by  TEXT REFERENCES people (id) ON DELETE RESTRICT,
  seen_at     TEXT, -- when it last told its time
  clock_ahead_ms INTEGER -- how far its clock was ahead of ours then
) STRICT;
CREATE INDEX tablets_enrolled_by ON tablets (enrolled_by);
CREATE INDEX tablets_revoked_by ON tablets (revoked_by);

ALTER TABLE people ADD COLUMN password_hash TEXT;
ALTER TABLE sessions ADD COLUMN tablet_id TEXT REFERENCES tablets (id) ON DELETE RESTRICT;
CREATE INDEX sessions_tablet ON sessions (tablet_id);
