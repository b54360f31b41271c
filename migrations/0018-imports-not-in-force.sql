-- A large import is written in small commits. Until its last row is written its rows are named in `not_in_force`, and
-- nothing reads them; emptying that table puts all of them in force in one short commit. An import that is given up is
-- taken away again: rows named there are the only ones of what happened that may be.

CREATE TABLE not_in_force (
  subject TEXT NOT NULL CHECK (subject IN ('imports', 'faults', 'daily_temperatures')), -- the row's table
  key     TEXT NOT NULL, -- the row's key
  PRIMARY KEY (subject, key)
) STRICT, WITHOUT ROWID;

-- A row is named before it is written, so that none that is in force can be named, and then taken away.
CREATE TRIGGER not_in_force_before_its_row BEFORE INSERT ON not_in_force
WHEN (NEW.subject = 'imports' AND EXISTS (SELECT 1 FROM imports WHERE id = NEW.key))
  OR (NEW.subject = 'faults' AND EXISTS (SELECT 1 FROM faults WHERE id = NEW.key))
  OR (NEW.subject = 'daily_temperatures' AND EXISTS (SELECT 1 FROM daily_temperatures WHERE day = NEW.key))
BEGIN SELECT RAISE(ABORT, 'it is in force: tables of what happened only append'); END;
CREATE TRIGGER not_in_force_no_update BEFORE UPDATE ON not_in_force
BEGIN SELECT RAISE(ABORT, 'not_in_force only append'); END;

-- Imports that came to nothing, and why. Their rows are gone.
CREATE TABLE given_up_imports (
  import_id TEXT NOT NULL PRIMARY KEY REFERENCES imports (id) ON DELETE RESTRICT,
  at        TEXT NOT NULL,
  why       TEXT NOT NULL CHECK (why IN ('cancelled', 'stopped', 'failed'))
) STRICT, WITHOUT ROWID;
CREATE TRIGGER given_up_imports_no_update BEFORE UPDATE ON given_up_imports
BEGIN SELECT RAISE(ABORT, 'given_up_imports only append'); END;
CREATE TRIGGER given_up_imports_no_delete BEFORE DELETE ON given_up_imports
BEGIN SELECT RAISE(ABORT, 'given_up_imports only append'); END;
CREATE TRIGGER given_up_imports_no_replace BEFORE INSERT ON given_up_imports
WHEN EXISTS (SELECT 1 FROM given_up_imports WHERE import_id = NEW.import_id)
BEGIN SELECT RAISE(ABORT, 'given_up_imports only append'); END;

DROP TRIGGER faults_no_delete;
CREATE TRIGGER faults_no_delete BEFORE DELETE ON faults
WHEN NOT EXISTS (SELECT 1 FROM not_in_force WHERE subject = 'faults' AND key = OLD.id)
BEGIN SELECT RAISE(ABORT, 'faults only append'); END;
DROP TRIGGER conditions_no_delete;
CREATE TRIGGER conditions_no_delete BEFORE DELETE ON conditions
WHEN NOT EXISTS (SELECT 1 FROM not_in_force WHERE subject = 'faults' AND key = OLD.fault_id)
BEGIN SELECT RAISE(ABORT, 'conditions only append'); END;
DROP TRIGGER closures_no_delete;
CREATE TRIGGER closures_no_delete BEFORE DELETE ON closures
WHEN NOT EXISTS (SELECT 1 FROM not_in_force WHERE subject = 'faults' AND key = OLD.fault_id)
BEGIN SELECT RAISE(ABORT, 'closures only append'); END;
DROP TRIGGER imported_faults_no_delete;
CREATE TRIGGER imported_faults_no_delete BEFORE DELETE ON imported_faults
WHEN NOT EXISTS (SELECT 1 FROM not_in_force WHERE subject = 'faults' AND key = OLD.fault_id)
BEGIN SELECT RAISE(ABORT, 'imported_faults only append'); END;
DROP TRIGGER daily_temperatures_no_delete;
CREATE TRIGGER daily_temperatures_no_delete BEFORE DELETE ON daily_temperatures
WHEN NOT EXISTS (SELECT 1 FROM not_in_force WHERE subject = 'daily_temperatures' AND key = OLD.day)
BEGIN SELECT RAISE(ABORT, 'daily_temperatures only append'); END;
