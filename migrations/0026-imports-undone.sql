-- An import that was wrong is undone whole, as long as nothing stands on what it brought in. That it came in, and was
-- undone, by whom and why, stays on record; the trail has each row that was taken away.

CREATE TABLE undone_imports (
  import_id TEXT NOT NULL PRIMARY KEY REFERENCES imports (id) ON DELETE RESTRICT,
  at        TEXT NOT NULL,
  by        TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  why       TEXT NOT NULL CHECK (length(why) > 0)
) STRICT, WITHOUT ROWID;
CREATE INDEX undone_imports_person ON undone_imports (by);
CREATE TRIGGER undone_imports_no_update BEFORE UPDATE ON undone_imports
BEGIN SELECT RAISE(ABORT, 'undone_imports only append'); END;
CREATE TRIGGER undone_imports_no_delete BEFORE DELETE ON undone_imports
BEGIN SELECT RAISE(ABORT, 'undone_imports only append'); END;
CREATE TRIGGER undone_imports_no_replace BEFORE INSERT ON undone_imports
WHEN EXISTS (SELECT 1 FROM undone_imports WHERE import_id = NEW.import_id)
BEGIN SELECT RAISE(ABORT, 'undone_imports only append'); END;

-- Rows of an import that was undone are out of force at once, and are then taken away a few at a time.
DROP TRIGGER not_in_force_before_its_row;
CREATE TRIGGER not_in_force_before_its_row BEFORE INSERT ON not_in_force
WHEN (NEW.subject = 'imports' AND EXISTS (SELECT 1 FROM imports WHERE id = NEW.key))
  OR (NEW.subject = 'faults' AND EXISTS (SELECT 1 FROM faults WHERE id = NEW.key)
    AND NOT EXISTS (SELECT 1 FROM imported_faults i JOIN undone_imports u ON u.import_id = i.import_id
      WHERE i.fault_id = NEW.key))
  OR (NEW.subject = 'daily_temperatures' AND EXISTS (SELECT 1 FROM daily_temperatures WHERE day = NEW.key)
    AND NOT EXISTS (SELECT 1 FROM daily_temperatures d JOIN undone_imports u ON u.import_id = d.import_id
      WHERE d.day = NEW.key))
BEGIN SELECT RAISE(ABORT, 'it is in force: tables of what happened only append'); END;

-- A unit that an import fitted, as the trail says, was never fitted there when that import is undone.
DROP TRIGGER fittings_no_delete;
CREATE TRIGGER fittings_no_delete BEFORE DELETE ON fittings
WHEN NOT EXISTS (
  SELECT 1 FROM undone_imports u
    JOIN trail i ON i.subject = 'imports' AND i.key = u.import_id AND i.what = 'added'
    JOIN trail e ON e.subject = 'import written' AND e.key = u.import_id AND e.what = 'happened'
    JOIN trail f ON f.subject = 'fittings' AND f.key = OLD.id AND f.what = 'added' AND f.seq BETWEEN i.seq AND e.seq)
BEGIN SELECT RAISE(ABORT, 'fittings only end'); END;
