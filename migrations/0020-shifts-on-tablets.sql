-- A shift that a tablet carries where there is no signal, and what was done on it there. `token_hash`: of the token with
-- which the tablet sends the shift's acts, also when the person has signed out meanwhile.
CREATE TABLE shifts (
  id         TEXT NOT NULL PRIMARY KEY,
  person_id  TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  tablet_id  TEXT REFERENCES tablets (id) ON DELETE RESTRICT,
  token_hash TEXT NOT NULL UNIQUE,
  started_at TEXT NOT NULL,
  until      TEXT NOT NULL
) STRICT, WITHOUT ROWID;
CREATE INDEX shifts_person ON shifts (person_id);
CREATE INDEX shifts_tablet ON shifts (tablet_id);
CREATE TRIGGER shifts_no_update BEFORE UPDATE ON shifts BEGIN SELECT RAISE(ABORT, 'shifts only append'); END;
CREATE TRIGGER shifts_no_delete BEFORE DELETE ON shifts BEGIN SELECT RAISE(ABORT, 'shifts only append'); END;
CREATE TRIGGER shifts_no_replace BEFORE INSERT ON shifts WHEN EXISTS (SELECT 1 FROM shifts WHERE id = NEW.id OR token_hash = NEW.token_hash) BEGIN SELECT RAISE(ABORT, 'shifts only append'); END;

-- Each form that a tablet recorded before the depot knew of it. `done_at`: by the tablet's clock, put right by how far it
-- was ahead when it last had signal. `apart`: why it could not be recorded as it was sent; null when it was.
CREATE TABLE late_acts (
  id             TEXT NOT NULL PRIMARY KEY,
  shift_id       TEXT NOT NULL REFERENCES shifts (id) ON DELETE RESTRICT,
  seq            INTEGER NOT NULL CHECK (seq > 0),
  path           TEXT NOT NULL,
  fault_id       TEXT REFERENCES faults (id) ON DELETE RESTRICT,
  fields         TEXT NOT NULL CHECK (json_valid(fields)),
  done_at        TEXT NOT NULL,
  clock_ahead_ms INTEGER,
  arrived_at     TEXT NOT NULL,
  apart          TEXT,
  UNIQUE (shift_id, seq)
) STRICT, WITHOUT ROWID;
CREATE INDEX late_acts_by_fault ON late_acts (fault_id);
CREATE TRIGGER late_acts_no_update BEFORE UPDATE ON late_acts BEGIN SELECT RAISE(ABORT, 'late acts only append'); END;
CREATE TRIGGER late_acts_no_delete BEFORE DELETE ON late_acts BEGIN SELECT RAISE(ABORT, 'late acts only append'); END;
CREATE TRIGGER late_acts_no_replace BEFORE INSERT ON late_acts WHEN EXISTS (SELECT 1 FROM late_acts WHERE id = NEW.id OR (shift_id = NEW.shift_id AND seq = NEW.seq)) BEGIN SELECT RAISE(ABORT, 'late acts only append'); END;
