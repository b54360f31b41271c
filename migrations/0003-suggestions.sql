-- A check suggested instead of the author's next one, and whether it was taken: kept to see if suggestions are any good.

CREATE TABLE suggestions (
  fault_id      TEXT NOT NULL REFERENCES faults (id) ON DELETE RESTRICT,
  finding_id    TEXT NOT NULL REFERENCES findings (id) ON DELETE RESTRICT, -- what the technician did instead, or by it
  tree          TEXT NOT NULL, -- the check suggested
  "check"       TEXT NOT NULL,
  saves         REAL NOT NULL, -- expected minutes
  followed      INTEGER NOT NULL CHECK (followed IN (0, 1)),
  PRIMARY KEY (finding_id)
) STRICT, WITHOUT ROWID;
CREATE INDEX suggestions_fault ON suggestions (fault_id);

CREATE TRIGGER suggestions_no_update BEFORE UPDATE ON suggestions BEGIN SELECT RAISE(ABORT, 'suggestions only append'); END;
CREATE TRIGGER suggestions_no_delete BEFORE DELETE ON suggestions BEGIN SELECT RAISE(ABORT, 'suggestions only append'); END;
CREATE TRIGGER suggestions_no_replace BEFORE INSERT ON suggestions WHEN EXISTS (SELECT 1 FROM suggestions WHERE finding_id = NEW.finding_id) BEGIN SELECT RAISE(ABORT, 'suggestions only append'); END;
