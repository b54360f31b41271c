-- The engineer's review of the history: what counts as a repeat, what a workshop found, delay, and the reviews opened for
-- repeats; and the readings of each check at each position, kept together so that a drift can be seen at once.

-- While a depot has set none, the program's own starting rules hold.
CREATE TABLE repeat_windows (
  name   TEXT NOT NULL PRIMARY KEY COLLATE NOCASE CHECK (length(name) BETWEEN 1 AND 60),
  days   INTEGER NOT NULL CHECK (days BETWEEN 1 AND 3660),
  faults INTEGER NOT NULL CHECK (faults BETWEEN 2 AND 99) -- within the window, the newest counted
) STRICT;

CREATE TABLE workshop_visits (
  id      TEXT NOT NULL PRIMARY KEY,
  unit_id TEXT NOT NULL REFERENCES units (id) ON DELETE RESTRICT,
  at      TEXT NOT NULL, -- when the workshop said so
  by      TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  result  TEXT NOT NULL CHECK (result IN ('tested good', 'repaired', 'scrapped')),
  words   TEXT NOT NULL
) STRICT, WITHOUT ROWID;
CREATE INDEX workshop_visits_unit ON workshop_visits (unit_id, at);

-- Minutes of delay a fault caused, as told later; the newest row counts.
CREATE TABLE delays (
  id       TEXT NOT NULL PRIMARY KEY,
  fault_id TEXT NOT NULL REFERENCES faults (id) ON DELETE RESTRICT,
  seq      INTEGER NOT NULL CHECK (seq > 0),
  at       TEXT NOT NULL,
  by       TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  minutes  INTEGER NOT NULL CHECK (minutes >= 0),
  UNIQUE (fault_id, seq)
) STRICT, WITHOUT ROWID;

CREATE TABLE reviews (
  id          TEXT NOT NULL PRIMARY KEY,
  position_id TEXT NOT NULL REFERENCES positions (id) ON DELETE RESTRICT,
  at          TEXT NOT NULL,
  by          TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  why         TEXT NOT NULL CHECK (length(why) > 0)
) STRICT, WITHOUT ROWID;
CREATE INDEX reviews_position ON reviews (position_id, at);

-- Each entry says the whole state of the review from then on.
CREATE TABLE review_entries (
  id        TEXT NOT NULL PRIMARY KEY,
  review_id TEXT NOT NULL REFERENCES reviews (id) ON DELETE RESTRICT,
  seq       INTEGER NOT NULL CHECK (seq > 0),
  at        TEXT NOT NULL,
  by        TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  owner     TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  cause     TEXT NOT NULL,
  action    TEXT NOT NULL,
  due       TEXT CHECK (due IS NULL OR due GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  done_on   TEXT CHECK (done_on IS NULL OR done_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  result    TEXT NOT NULL,
  closed    INTEGER NOT NULL CHECK (closed IN (0, 1)),
  UNIQUE (review_id, seq)
) STRICT, WITHOUT ROWID;
CREATE INDEX review_entries_owner ON review_entries (owner);

-- Every reading of a check at a position that still stands, in order of time. Kept by the triggers below and by nothing
-- else; it can be made again from what it was made of.
CREATE TABLE check_readings (
  position_id TEXT NOT NULL REFERENCES positions (id) ON DELETE RESTRICT,
  tree        TEXT NOT NULL,
  "check"     TEXT NOT NULL,
  at          TEXT NOT NULL,
  id          TEXT NOT NULL, -- of the finding or proof
  fault_id    TEXT,
  value       REAL, -- in the base unit; null for a reading without a number
  unit        TEXT,
  resolution  REAL, -- one count of the last digit typed, in the same unit
  kind        TEXT, -- of the reading: 'open' lies above every number
  min         REAL, -- the limit as it was then
  max         REAL,
  after_work  INTEGER NOT NULL CHECK (after_work IN (0, 1)), -- taken to prove a repair
  PRIMARY KEY (position_id, tree, "check", at, id)
) STRICT, WITHOUT ROWID;

INSERT INTO check_readings (position_id, tree, "check", at, id, fault_id, value, unit, resolution, kind,
  min, max, after_work)
SELECT f.position_id, n.tree, n."check", n.at, n.id, n.fault_id, n.value, n.unit,
  json_extract(n.reading, '$.resolution'), json_extract(n.reading, '$.kind'),
  json_extract(n.range, '$.min'), json_extract(n.range, '$.max'), 0
FROM findings n JOIN faults f ON f.id = n.fault_id
WHERE n.kind = 'reading' AND n.tree IS NOT NULL AND NOT EXISTS (SELECT 1 FROM findings c WHERE c.replaces = n.id);
INSERT INTO check_readings (position_id, tree, "check", at, id, fault_id, value, unit, resolution, kind,
  min, max, after_work)
SELECT f.position_id, n.tree, n."check", n.at, n.id, n.fault_id, n.value, n.unit,
  json_extract(n.reading, '$.resolution'), json_extract(n.reading, '$.kind'),
  json_extract(n.range, '$.min'), json_extract(n.range, '$.max'), 1
FROM proofs n JOIN faults f ON f.id = n.fault_id WHERE n.kind = 'reading' AND n.tree IS NOT NULL;

CREATE TRIGGER findings_kept_as_readings AFTER INSERT ON findings WHEN NEW.kind = 'reading' AND NEW.tree IS NOT NULL
BEGIN
  INSERT INTO check_readings (position_id, tree, "check", at, id, fault_id, value, unit, resolution, kind,
  min, max, after_work)
  SELECT f.position_id, NEW.tree, NEW."check", NEW.at, NEW.id, NEW.fault_id, NEW.value, NEW.unit,
    json_extract(NEW.reading, '$.resolution'), json_extract(NEW.reading, '$.kind'),
    json_extract(NEW.range, '$.min'), json_extract(NEW.range, '$.max'), 0
  FROM faults f WHERE f.id = NEW.fault_id;
END;
CREATE TRIGGER findings_corrected_as_readings AFTER INSERT ON findings WHEN NEW.replaces IS NOT NULL
BEGIN
  DELETE FROM check_readings WHERE (position_id, tree, "check", at, id) IN (
    SELECT f.position_id, n.tree, n."check", n.at, n.id
    FROM findings n JOIN faults f ON f.id = n.fault_id WHERE n.id = NEW.replaces AND n.kind = 'reading');
END;
CREATE TRIGGER proofs_kept_as_readings AFTER INSERT ON proofs WHEN NEW.kind = 'reading' AND NEW.tree IS NOT NULL
BEGIN
  INSERT INTO check_readings (position_id, tree, "check", at, id, fault_id, value, unit, resolution, kind,
  min, max, after_work)
  SELECT f.position_id, NEW.tree, NEW."check", NEW.at, NEW.id, NEW.fault_id, NEW.value, NEW.unit,
    json_extract(NEW.reading, '$.resolution'), json_extract(NEW.reading, '$.kind'),
    json_extract(NEW.range, '$.min'), json_extract(NEW.range, '$.max'), 1
  FROM faults f WHERE f.id = NEW.fault_id;
END;

-- The review reads a window of time in order, from these alone.
CREATE INDEX faults_window ON faults (reported_at, position_id, tree);
CREATE INDEX faults_families ON faults (position_id, tree, reported_at);
CREATE INDEX closures_window ON closures (at, fault_id, outcome, cause, cleared_itself);
CREATE INDEX attendances_window ON attendances (started_at, fault_id, ended_at);
CREATE INDEX findings_window ON findings (at, fault_id);
CREATE INDEX repairs_window ON repairs (at, fault_id, action, cause);
CREATE INDEX repairs_swaps ON repairs (at, fault_id) WHERE action = 'unit replaced';
CREATE INDEX proofs_window ON proofs (at, fault_id, passed);

CREATE TRIGGER workshop_visits_no_update BEFORE UPDATE ON workshop_visits BEGIN SELECT RAISE(ABORT, 'workshop_visits only append'); END;
CREATE TRIGGER workshop_visits_no_delete BEFORE DELETE ON workshop_visits BEGIN SELECT RAISE(ABORT, 'workshop_visits only append'); END;
CREATE TRIGGER workshop_visits_no_replace BEFORE INSERT ON workshop_visits WHEN EXISTS (SELECT 1 FROM workshop_visits WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'workshop_visits only append'); END;
CREATE TRIGGER delays_no_update BEFORE UPDATE ON delays BEGIN SELECT RAISE(ABORT, 'delays only append'); END;
CREATE TRIGGER delays_no_delete BEFORE DELETE ON delays BEGIN SELECT RAISE(ABORT, 'delays only append'); END;
CREATE TRIGGER delays_no_replace BEFORE INSERT ON delays WHEN EXISTS (SELECT 1 FROM delays WHERE id = NEW.id OR (fault_id = NEW.fault_id AND seq = NEW.seq)) BEGIN SELECT RAISE(ABORT, 'delays only append'); END;
CREATE TRIGGER reviews_no_update BEFORE UPDATE ON reviews BEGIN SELECT RAISE(ABORT, 'reviews only append'); END;
CREATE TRIGGER reviews_no_delete BEFORE DELETE ON reviews BEGIN SELECT RAISE(ABORT, 'reviews only append'); END;
CREATE TRIGGER reviews_no_replace BEFORE INSERT ON reviews WHEN EXISTS (SELECT 1 FROM reviews WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'reviews only append'); END;
CREATE TRIGGER review_entries_no_update BEFORE UPDATE ON review_entries BEGIN SELECT RAISE(ABORT, 'review_entries only append'); END;
CREATE TRIGGER review_entries_no_delete BEFORE DELETE ON review_entries BEGIN SELECT RAISE(ABORT, 'review_entries only append'); END;
CREATE TRIGGER review_entries_no_replace BEFORE INSERT ON review_entries WHEN EXISTS (SELECT 1 FROM review_entries WHERE id = NEW.id OR (review_id = NEW.review_id AND seq = NEW.seq)) BEGIN SELECT RAISE(ABORT, 'review_entries only append'); END;
