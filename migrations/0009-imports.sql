-- What came in from a depot's own spreadsheets. A past fault stands with the others and counts with them, and is marked:
-- nobody walked it here, attended it here or signed it.

CREATE TABLE imports (
  id        TEXT NOT NULL PRIMARY KEY,
  at        TEXT NOT NULL,
  by        TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  subject   TEXT NOT NULL CHECK (subject IN ('sites', 'positions', 'units', 'past faults')),
  file_name TEXT NOT NULL,
  sha256    TEXT NOT NULL, -- of the file as it came
  columns   TEXT NOT NULL CHECK (json_valid(columns)), -- which column was taken for what, and how it was read
  added     INTEGER NOT NULL CHECK (added >= 0),
  changed   INTEGER NOT NULL CHECK (changed >= 0),
  same      INTEGER NOT NULL CHECK (same >= 0),
  left_out  INTEGER NOT NULL CHECK (left_out >= 0)
) STRICT, WITHOUT ROWID;
CREATE INDEX imports_at ON imports (at);
CREATE INDEX imports_person ON imports (by);

CREATE TABLE imported_faults (
  fault_id     TEXT NOT NULL PRIMARY KEY REFERENCES faults (id) ON DELETE RESTRICT,
  import_id    TEXT NOT NULL REFERENCES imports (id) ON DELETE RESTRICT,
  line         INTEGER NOT NULL CHECK (line > 0), -- of the file
  reference    TEXT, -- the depot's own number
  symptom      TEXT NOT NULL, -- in the file's words
  cause        TEXT NOT NULL,
  closed_known INTEGER NOT NULL CHECK (closed_known IN (0, 1)) -- 0: the file did not say when; closed as at the report
) STRICT, WITHOUT ROWID;
CREATE INDEX imported_faults_import ON imported_faults (import_id);

-- A closure of the past has no attendance here, and its outcome may be on no record at all.
CREATE TABLE closures_new (
  id             TEXT NOT NULL PRIMARY KEY,
  fault_id       TEXT NOT NULL UNIQUE REFERENCES faults (id) ON DELETE RESTRICT,
  attendance_id  TEXT,
  at             TEXT NOT NULL,
  by             TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  outcome        TEXT NOT NULL CHECK (outcome IN
    ('proven cause', 'probable cause', 'not reproduced', 'not completed', 'passed on', 'not recorded')),
  cause          TEXT,
  cleared_itself INTEGER NOT NULL CHECK (cleared_itself IN (0, 1)),
  changed        TEXT NOT NULL,
  words          TEXT NOT NULL,
  CHECK (outcome NOT IN ('proven cause', 'probable cause') OR cause IS NOT NULL),
  CHECK (attendance_id IS NOT NULL OR outcome IN ('probable cause', 'not reproduced', 'not recorded')),
  FOREIGN KEY (attendance_id, fault_id) REFERENCES attendances (id, fault_id) ON DELETE RESTRICT
) STRICT, WITHOUT ROWID;
INSERT INTO closures_new (id, fault_id, attendance_id, at, by, outcome, cause, cleared_itself, changed, words)
SELECT id, fault_id, attendance_id, at, by, outcome, cause, cleared_itself, changed, words FROM closures;
DROP TABLE closures;
ALTER TABLE closures_new RENAME TO closures;
CREATE INDEX closures_at ON closures (at);
CREATE INDEX closures_cause ON closures (cause);
CREATE INDEX closures_window ON closures (at, fault_id, outcome, cause, cleared_itself);
CREATE TRIGGER closures_no_update BEFORE UPDATE ON closures BEGIN SELECT RAISE(ABORT, 'closures only append'); END;
CREATE TRIGGER closures_no_delete BEFORE DELETE ON closures BEGIN SELECT RAISE(ABORT, 'closures only append'); END;
CREATE TRIGGER closures_no_replace BEFORE INSERT ON closures
WHEN EXISTS (SELECT 1 FROM closures WHERE id = NEW.id OR fault_id = NEW.fault_id)
BEGIN SELECT RAISE(ABORT, 'closures only append'); END;

CREATE TRIGGER imports_no_update BEFORE UPDATE ON imports BEGIN SELECT RAISE(ABORT, 'imports only append'); END;
CREATE TRIGGER imports_no_delete BEFORE DELETE ON imports BEGIN SELECT RAISE(ABORT, 'imports only append'); END;
CREATE TRIGGER imports_no_replace BEFORE INSERT ON imports
WHEN EXISTS (SELECT 1 FROM imports WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'imports only append'); END;
CREATE TRIGGER imported_faults_no_update BEFORE UPDATE ON imported_faults BEGIN SELECT RAISE(ABORT, 'imported_faults only append'); END;
CREATE TRIGGER imported_faults_no_delete BEFORE DELETE ON imported_faults BEGIN SELECT RAISE(ABORT, 'imported_faults only append'); END;
CREATE TRIGGER imported_faults_no_replace BEFORE INSERT ON imported_faults
WHEN EXISTS (SELECT 1 FROM imported_faults WHERE fault_id = NEW.fault_id)
BEGIN SELECT RAISE(ABORT, 'imported_faults only append'); END;
