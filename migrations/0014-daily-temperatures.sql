-- How cold and how warm each day was, from the depot's own thermometer or a public record: without it nobody knows how
-- often faults would come in the cold anyway. One row a day for the whole depot; what is on record is not changed.

CREATE TABLE daily_temperatures (
  day       TEXT NOT NULL PRIMARY KEY CHECK (day GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'), -- of the depot's calendar
  lowest    REAL NOT NULL, -- °C
  highest   REAL NOT NULL, -- °C
  import_id TEXT NOT NULL REFERENCES imports (id) ON DELETE RESTRICT,
  line      INTEGER NOT NULL CHECK (line > 0), -- of the file
  CHECK (lowest <= highest)
) STRICT, WITHOUT ROWID;
CREATE INDEX daily_temperatures_import ON daily_temperatures (import_id);
CREATE TRIGGER daily_temperatures_no_update BEFORE UPDATE ON daily_temperatures
BEGIN SELECT RAISE(ABORT, 'daily_temperatures only append'); END;
CREATE TRIGGER daily_temperatures_no_delete BEFORE DELETE ON daily_temperatures
BEGIN SELECT RAISE(ABORT, 'daily_temperatures only append'); END;
CREATE TRIGGER daily_temperatures_no_replace BEFORE INSERT ON daily_temperatures
WHEN EXISTS (SELECT 1 FROM daily_temperatures WHERE day = NEW.day)
BEGIN SELECT RAISE(ABORT, 'daily_temperatures only append'); END;

-- Another thing to bring in: the list of what a file may hold is part of the table.
CREATE TABLE imports_new (
  id        TEXT NOT NULL PRIMARY KEY,
  at        TEXT NOT NULL,
  by        TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  subject   TEXT NOT NULL CHECK (subject IN ('sites', 'positions', 'units', 'past faults', 'temperatures')),
  file_name TEXT NOT NULL,
  sha256    TEXT NOT NULL, -- of the file as it came
  columns   TEXT NOT NULL CHECK (json_valid(columns)), -- which column was taken for what, and how it was read
  added     INTEGER NOT NULL CHECK (added >= 0),
  changed   INTEGER NOT NULL CHECK (changed >= 0),
  same      INTEGER NOT NULL CHECK (same >= 0),
  left_out  INTEGER NOT NULL CHECK (left_out >= 0)
) STRICT, WITHOUT ROWID;
INSERT INTO imports_new (id, at, by, subject, file_name, sha256, columns, added, changed, same, left_out)
SELECT id, at, by, subject, file_name, sha256, columns, added, changed, same, left_out FROM imports;
DROP TABLE imports;
ALTER TABLE imports_new RENAME TO imports;
CREATE INDEX imports_at ON imports (at);
CREATE INDEX imports_person ON imports (by);
CREATE TRIGGER imports_no_update BEFORE UPDATE ON imports BEGIN SELECT RAISE(ABORT, 'imports only append'); END;
CREATE TRIGGER imports_no_delete BEFORE DELETE ON imports BEGIN SELECT RAISE(ABORT, 'imports only append'); END;
CREATE TRIGGER imports_no_replace BEFORE INSERT ON imports
WHEN EXISTS (SELECT 1 FROM imports WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'imports only append'); END;
