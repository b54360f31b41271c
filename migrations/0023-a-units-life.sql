-- A unit's life away from faults: kept apart so that nobody fits it, and changed as planned.

-- The newest row of a unit counts; only `kept apart` keeps it from being fitted.
CREATE TABLE unit_holds (
  id      TEXT NOT NULL PRIMARY KEY,
  unit_id TEXT NOT NULL REFERENCES units (id) ON DELETE RESTRICT,
  seq     INTEGER NOT NULL CHECK (seq > 0),
  at      TEXT NOT NULL,
  by      TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  state   TEXT NOT NULL CHECK (state IN ('kept apart', 'released')),
  reason  TEXT NOT NULL CHECK (length(reason) > 0),
  UNIQUE (unit_id, seq)
) STRICT, WITHOUT ROWID;
CREATE INDEX unit_holds_person ON unit_holds (by);
CREATE TRIGGER unit_holds_no_update BEFORE UPDATE ON unit_holds BEGIN SELECT RAISE(ABORT, 'unit_holds only append'); END;
CREATE TRIGGER unit_holds_no_delete BEFORE DELETE ON unit_holds BEGIN SELECT RAISE(ABORT, 'unit_holds only append'); END;
CREATE TRIGGER unit_holds_no_replace BEFORE INSERT ON unit_holds
WHEN EXISTS (SELECT 1 FROM unit_holds WHERE id = NEW.id OR (unit_id = NEW.unit_id AND seq = NEW.seq))
BEGIN SELECT RAISE(ABORT, 'unit_holds only append'); END;

-- A unit taken out, fitted or moved where there was no fault. Where it stands follows from fittings, as with a repair.
CREATE TABLE planned_changes (
  id          TEXT NOT NULL PRIMARY KEY,
  unit_id     TEXT NOT NULL REFERENCES units (id) ON DELETE RESTRICT,
  position_id TEXT REFERENCES positions (id) ON DELETE RESTRICT, -- where it went; none: taken out
  at          TEXT NOT NULL, -- when it was done
  by          TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  recorded_at TEXT NOT NULL,
  words       TEXT NOT NULL CHECK (length(words) > 0)
) STRICT, WITHOUT ROWID;
CREATE INDEX planned_changes_unit ON planned_changes (unit_id, at);
CREATE INDEX planned_changes_position ON planned_changes (position_id, at);
CREATE INDEX planned_changes_person ON planned_changes (by);
CREATE TRIGGER planned_changes_no_update BEFORE UPDATE ON planned_changes BEGIN SELECT RAISE(ABORT, 'planned_changes only append'); END;
CREATE TRIGGER planned_changes_no_delete BEFORE DELETE ON planned_changes BEGIN SELECT RAISE(ABORT, 'planned_changes only append'); END;
CREATE TRIGGER planned_changes_no_replace BEFORE INSERT ON planned_changes
WHEN EXISTS (SELECT 1 FROM planned_changes WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'planned_changes only append'); END;
