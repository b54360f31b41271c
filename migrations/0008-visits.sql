-- Maintenance visits: a short round at a position, walked like a fault and kept apart from the faults, so that no count of
-- faults holds one. What was found, put back and how it ended only appends.

CREATE TABLE visits (
  id          TEXT NOT NULL PRIMARY KEY,
  position_id TEXT NOT NULL REFERENCES positions (id) ON DELETE RESTRICT,
  tree        TEXT NOT NULL,
  edition_id  TEXT NOT NULL REFERENCES editions (id) ON DELETE RESTRICT,
  at          TEXT NOT NULL,
  by          TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  plate       TEXT NOT NULL -- as read off the equipment; a visit begins only when it is the right one
) STRICT, WITHOUT ROWID;
CREATE INDEX visits_position ON visits (position_id, at);
CREATE INDEX visits_person ON visits (by, at);
CREATE INDEX visits_edition ON visits (edition_id);

CREATE TABLE visit_findings (
  id         TEXT NOT NULL PRIMARY KEY,
  visit_id   TEXT NOT NULL REFERENCES visits (id) ON DELETE RESTRICT,
  seq        INTEGER NOT NULL CHECK (seq > 0),
  at         TEXT NOT NULL,
  by         TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  kind       TEXT NOT NULL CHECK (kind IN ('reading', 'observation', 'cannot tell')),
  tree       TEXT NOT NULL,
  "check"    TEXT NOT NULL,
  text       TEXT,
  reading    TEXT CHECK (reading IS NULL OR json_valid(reading)),
  range      TEXT CHECK (range IS NULL OR json_valid(range)),
  verdict    TEXT CHECK (verdict IS NULL OR json_valid(verdict)),
  value      REAL, -- the reading's number in its base unit, for trends
  unit       TEXT,
  taken      TEXT CHECK (taken IS NULL OR (json_valid(taken) AND reading IS NOT NULL)),
  chosen_row TEXT,
  reason     TEXT,
  note       TEXT,
  instrument TEXT,
  replaces   TEXT,
  UNIQUE (visit_id, seq),
  UNIQUE (id, visit_id),
  FOREIGN KEY (replaces, visit_id) REFERENCES visit_findings (id, visit_id) ON DELETE RESTRICT,
  CHECK (kind <> 'reading' OR (reading IS NOT NULL AND verdict IS NOT NULL))
) STRICT, WITHOUT ROWID;
CREATE INDEX visit_findings_check ON visit_findings (tree, "check", at);
CREATE UNIQUE INDEX visit_findings_replaces ON visit_findings (replaces) WHERE replaces IS NOT NULL;

CREATE TABLE visit_restorations (
  id       TEXT NOT NULL PRIMARY KEY,
  visit_id TEXT NOT NULL REFERENCES visits (id) ON DELETE RESTRICT,
  seq      INTEGER NOT NULL CHECK (seq > 0),
  at       TEXT NOT NULL,
  by       TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  item_key TEXT NOT NULL,
  how      TEXT NOT NULL CHECK (how IN ('restored', 'never disturbed')),
  UNIQUE (visit_id, seq)
) STRICT, WITHOUT ROWID;

CREATE TABLE visit_ends (
  id       TEXT NOT NULL PRIMARY KEY,
  visit_id TEXT NOT NULL UNIQUE REFERENCES visits (id) ON DELETE RESTRICT,
  at       TEXT NOT NULL,
  by       TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  -- `healthy in part`: what was seen was healthy, and something could not be seen. Only `healthy` starts the interval anew.
  how      TEXT NOT NULL CHECK (how IN ('healthy', 'healthy in part', 'fault found', 'broken off')),
  words    TEXT NOT NULL,
  fault_id TEXT UNIQUE, -- the id that the fault found will have once it is reported
  CHECK ((how = 'fault found') = (fault_id IS NOT NULL))
) STRICT, WITHOUT ROWID;
CREATE INDEX visit_ends_at ON visit_ends (at);

-- How often a position of a kind of equipment is to be seen healthy. No row: no interval was set.
CREATE TABLE visit_intervals (
  equipment TEXT NOT NULL PRIMARY KEY,
  days      INTEGER NOT NULL CHECK (days BETWEEN 1 AND 3660)
) STRICT;

-- A round's readings stand in the same trend as those of a fault.
CREATE TRIGGER visit_findings_kept_as_readings AFTER INSERT ON visit_findings WHEN NEW.kind = 'reading'
BEGIN
  INSERT INTO check_readings (position_id, tree, "check", at, id, fault_id, value, unit, resolution, min, max,
    after_work)
  SELECT v.position_id, NEW.tree, NEW."check", NEW.at, NEW.id, NULL, NEW.value, NEW.unit,
    json_extract(NEW.reading, '$.resolution'), json_extract(NEW.range, '$.min'), json_extract(NEW.range, '$.max'), 0
  FROM visits v WHERE v.id = NEW.visit_id;
END;
CREATE TRIGGER visit_findings_corrected_as_readings AFTER INSERT ON visit_findings WHEN NEW.replaces IS NOT NULL
BEGIN
  DELETE FROM check_readings WHERE (position_id, tree, "check", at, id) IN (
    SELECT v.position_id, n.tree, n."check", n.at, n.id
    FROM visit_findings n JOIN visits v ON v.id = n.visit_id WHERE n.id = NEW.replaces AND n.kind = 'reading');
END;

CREATE TRIGGER visits_no_update BEFORE UPDATE ON visits BEGIN SELECT RAISE(ABORT, 'visits only append'); END;
CREATE TRIGGER visits_no_delete BEFORE DELETE ON visits BEGIN SELECT RAISE(ABORT, 'visits only append'); END;
CREATE TRIGGER visits_no_replace BEFORE INSERT ON visits
WHEN EXISTS (SELECT 1 FROM visits WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'visits only append'); END;
CREATE TRIGGER visit_findings_no_update BEFORE UPDATE ON visit_findings BEGIN SELECT RAISE(ABORT, 'visit_findings only append'); END;
CREATE TRIGGER visit_findings_no_delete BEFORE DELETE ON visit_findings BEGIN SELECT RAISE(ABORT, 'visit_findings only append'); END;
CREATE TRIGGER visit_findings_no_replace BEFORE INSERT ON visit_findings
WHEN EXISTS (SELECT 1 FROM visit_findings
  WHERE id = NEW.id OR (visit_id = NEW.visit_id AND seq = NEW.seq) OR replaces = NEW.replaces)
BEGIN SELECT RAISE(ABORT, 'visit_findings only append'); END;
CREATE TRIGGER visit_restorations_no_update BEFORE UPDATE ON visit_restorations BEGIN SELECT RAISE(ABORT, 'visit_restorations only append'); END;
CREATE TRIGGER visit_restorations_no_delete BEFORE DELETE ON visit_restorations BEGIN SELECT RAISE(ABORT, 'visit_restorations only append'); END;
CREATE TRIGGER visit_restorations_no_replace BEFORE INSERT ON visit_restorations
WHEN EXISTS (SELECT 1 FROM visit_restorations WHERE id = NEW.id OR (visit_id = NEW.visit_id AND seq = NEW.seq))
BEGIN SELECT RAISE(ABORT, 'visit_restorations only append'); END;
CREATE TRIGGER visit_ends_no_update BEFORE UPDATE ON visit_ends BEGIN SELECT RAISE(ABORT, 'visit_ends only append'); END;
CREATE TRIGGER visit_ends_no_delete BEFORE DELETE ON visit_ends BEGIN SELECT RAISE(ABORT, 'visit_ends only append'); END;
CREATE TRIGGER visit_ends_no_replace BEFORE INSERT ON visit_ends
WHEN EXISTS (SELECT 1 FROM visit_ends WHERE id = NEW.id OR visit_id = NEW.visit_id OR fault_id = NEW.fault_id)
BEGIN SELECT RAISE(ABORT, 'visit_ends only append'); END;
