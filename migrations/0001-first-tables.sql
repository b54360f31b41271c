-- People, the railway, the knowledge as published, and everything found and done at a fault.
-- Times are UTC ISO 8601 text. Ids are chosen by whoever makes the row, so sending it twice writes it once.
-- `seq` is the order of arrival, within the fault where there is one, from 1.
-- Tables of what happened have no rowid: a hidden second key would be a way to push a row out.

CREATE TABLE people (
  id         TEXT NOT NULL PRIMARY KEY,
  name       TEXT NOT NULL UNIQUE COLLATE NOCASE CHECK (length(name) BETWEEN 1 AND 80),
  role       TEXT NOT NULL CHECK (role IN ('technician', 'engineer', 'author', 'reviewer')),
  pin_hash   TEXT NOT NULL,
  active     INTEGER NOT NULL DEFAULT 1 CHECK (active IN (0, 1)),
  created_at TEXT NOT NULL
) STRICT;

-- The token itself is only in the browser's cookie.
CREATE TABLE sessions (
  token_hash TEXT NOT NULL PRIMARY KEY,
  person_id  TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  started_at TEXT NOT NULL,
  seen_at    TEXT NOT NULL,
  ended_at   TEXT
) STRICT;
CREATE INDEX sessions_person ON sessions (person_id);

CREATE TABLE setup_codes (
  code_hash TEXT NOT NULL PRIMARY KEY,
  made_at   TEXT NOT NULL,
  used_at   TEXT
) STRICT;

CREATE TABLE editions (
  id           TEXT NOT NULL PRIMARY KEY, -- SHA-256 over the paths and hashes of its files
  seq          INTEGER NOT NULL UNIQUE CHECK (seq > 0),
  published_at TEXT NOT NULL,
  published_by TEXT REFERENCES people (id) ON DELETE RESTRICT,
  note         TEXT NOT NULL DEFAULT ''
) STRICT, WITHOUT ROWID;
CREATE INDEX editions_published ON editions (published_at);
CREATE INDEX editions_publisher ON editions (published_by);

CREATE TABLE edition_files (
  edition_id TEXT NOT NULL REFERENCES editions (id) ON DELETE RESTRICT,
  path       TEXT NOT NULL,
  sha256     TEXT NOT NULL,
  text       TEXT NOT NULL,
  PRIMARY KEY (edition_id, path)
) STRICT, WITHOUT ROWID;

CREATE TABLE sites (
  id       TEXT NOT NULL PRIMARY KEY,
  name     TEXT NOT NULL UNIQUE COLLATE NOCASE,
  line     TEXT NOT NULL DEFAULT '',
  mileage  TEXT NOT NULL DEFAULT '',
  access   TEXT NOT NULL DEFAULT ''
) STRICT;

CREATE TABLE positions (
  id           TEXT NOT NULL PRIMARY KEY,
  site_id      TEXT NOT NULL REFERENCES sites (id) ON DELETE RESTRICT,
  name         TEXT NOT NULL,
  equipment    TEXT NOT NULL, -- slug of the equipment kind
  plate        TEXT NOT NULL UNIQUE COLLATE NOCASE, -- the code on the equipment's plate
  indicated    INTEGER NOT NULL CHECK (indicated IN (0, 1)), -- is a failure shown to the signaller
  in_service   TEXT NOT NULL,
  out_of_service TEXT,
  UNIQUE (site_id, name)
) STRICT;
CREATE INDEX positions_equipment ON positions (equipment);

CREATE TABLE position_facts (
  position_id TEXT NOT NULL REFERENCES positions (id) ON DELETE RESTRICT,
  fact        TEXT NOT NULL,
  value       TEXT NOT NULL,
  PRIMARY KEY (position_id, fact)
) STRICT, WITHOUT ROWID;

CREATE TABLE units (
  id      TEXT NOT NULL PRIMARY KEY,
  kind    TEXT NOT NULL,
  serial  TEXT NOT NULL COLLATE NOCASE,
  variant TEXT NOT NULL,
  UNIQUE (kind, serial)
) STRICT;

CREATE TABLE fittings (
  id          TEXT NOT NULL PRIMARY KEY,
  unit_id     TEXT NOT NULL REFERENCES units (id) ON DELETE RESTRICT,
  position_id TEXT NOT NULL REFERENCES positions (id) ON DELETE RESTRICT,
  fitted_at   TEXT NOT NULL,
  removed_at  TEXT CHECK (removed_at IS NULL OR removed_at >= fitted_at)
) STRICT, WITHOUT ROWID;
CREATE INDEX fittings_position ON fittings (position_id, fitted_at);
CREATE INDEX fittings_unit ON fittings (unit_id, fitted_at);
-- A unit is in one place at a time.
CREATE UNIQUE INDEX fittings_now ON fittings (unit_id) WHERE removed_at IS NULL;

CREATE TABLE faults (
  id           TEXT NOT NULL PRIMARY KEY,
  position_id  TEXT NOT NULL REFERENCES positions (id) ON DELETE RESTRICT,
  tree         TEXT NOT NULL,
  edition_id   TEXT NOT NULL REFERENCES editions (id) ON DELETE RESTRICT,
  symptom      TEXT NOT NULL,
  reported_at  TEXT NOT NULL,
  reported_by  TEXT NOT NULL, -- in words: "signaller, panel 2"
  recorded_by  TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  recorded_at  TEXT NOT NULL,
  noticed      TEXT NOT NULL,
  protection   TEXT NOT NULL CHECK (protection IN ('kept', 'lost', 'not known')),
  intermittent INTEGER NOT NULL CHECK (intermittent IN (0, 1))
) STRICT, WITHOUT ROWID;
CREATE INDEX faults_position ON faults (position_id, reported_at);
CREATE INDEX faults_reported ON faults (reported_at);
CREATE INDEX faults_edition ON faults (edition_id);
CREATE INDEX faults_recorder ON faults (recorded_by);

-- When an intermittent symptom shows itself.
CREATE TABLE conditions (
  fault_id TEXT NOT NULL REFERENCES faults (id) ON DELETE RESTRICT,
  name     TEXT NOT NULL,
  value    TEXT NOT NULL,
  PRIMARY KEY (fault_id, name)
) STRICT, WITHOUT ROWID;

CREATE TABLE attendances (
  id               TEXT NOT NULL PRIMARY KEY,
  fault_id         TEXT NOT NULL REFERENCES faults (id) ON DELETE RESTRICT,
  seq              INTEGER NOT NULL CHECK (seq > 0),
  person_id        TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  started_at       TEXT NOT NULL,
  seen_history_at  TEXT NOT NULL,
  spoken_to        TEXT NOT NULL,
  protection_words TEXT NOT NULL,
  isolation_words  TEXT NOT NULL,
  expected_finish  TEXT,
  handover_id      TEXT UNIQUE REFERENCES handovers (id) ON DELETE RESTRICT, -- the handover it began by
  ended_at         TEXT,
  ended_how        TEXT CHECK (ended_how IN ('closed', 'handed over', 'taken over')),
  ended_words      TEXT, -- why it was taken over
  UNIQUE (fault_id, seq),
  UNIQUE (id, fault_id),
  CHECK ((ended_at IS NULL) = (ended_how IS NULL))
) STRICT, WITHOUT ROWID;
CREATE INDEX attendances_person ON attendances (person_id, started_at);
-- One technician has the fault in hand at a time.
CREATE UNIQUE INDEX attendances_open ON attendances (fault_id) WHERE ended_at IS NULL;

CREATE TABLE findings (
  id            TEXT NOT NULL PRIMARY KEY,
  fault_id      TEXT NOT NULL REFERENCES faults (id) ON DELETE RESTRICT,
  attendance_id TEXT NOT NULL,
  seq           INTEGER NOT NULL CHECK (seq > 0),
  at            TEXT NOT NULL,
  by            TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  kind          TEXT NOT NULL CHECK (kind IN ('reading', 'observation', 'cannot tell', 'departure', 'rejection')),
  tree          TEXT,          -- check found at; for a departure, where it went
  "check"       TEXT,
  text          TEXT,          -- the reading as typed, the word observed, the place left, the cause ruled out
  reading       TEXT CHECK (reading IS NULL OR json_valid(reading)),
  range         TEXT CHECK (range IS NULL OR json_valid(range)),
  verdict       TEXT CHECK (verdict IS NULL OR json_valid(verdict)),
  value         REAL,          -- the reading's number in its base unit, for trends
  unit          TEXT,
  chosen_row    TEXT,
  reason        TEXT,
  note          TEXT,
  instrument    TEXT,
  flag          INTEGER NOT NULL DEFAULT 0 CHECK (flag IN (0, 1)), -- departure: suggested; rejection: mended
  replaces      TEXT,
  UNIQUE (fault_id, seq),
  UNIQUE (id, fault_id),
  FOREIGN KEY (replaces, fault_id) REFERENCES findings (id, fault_id) ON DELETE RESTRICT,
  CHECK (kind <> 'reading' OR (reading IS NOT NULL AND verdict IS NOT NULL)),
  FOREIGN KEY (attendance_id, fault_id) REFERENCES attendances (id, fault_id) ON DELETE RESTRICT
) STRICT, WITHOUT ROWID;
CREATE INDEX findings_check ON findings (tree, "check", at);
-- Each finding is corrected at most once; a second thought corrects the correction.
CREATE UNIQUE INDEX findings_replaces ON findings (replaces) WHERE replaces IS NOT NULL;

CREATE TABLE disturbances (
  id            TEXT NOT NULL PRIMARY KEY,
  fault_id      TEXT NOT NULL REFERENCES faults (id) ON DELETE RESTRICT,
  seq           INTEGER NOT NULL CHECK (seq > 0),
  attendance_id TEXT NOT NULL,
  at            TEXT NOT NULL,
  by            TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  item          TEXT NOT NULL CHECK (length(item) BETWEEN 1 AND 500),
  UNIQUE (fault_id, seq),
  FOREIGN KEY (attendance_id, fault_id) REFERENCES attendances (id, fault_id) ON DELETE RESTRICT
) STRICT, WITHOUT ROWID;

CREATE TABLE restorations (
  id            TEXT NOT NULL PRIMARY KEY,
  fault_id      TEXT NOT NULL REFERENCES faults (id) ON DELETE RESTRICT,
  seq           INTEGER NOT NULL CHECK (seq > 0),
  attendance_id TEXT NOT NULL,
  at            TEXT NOT NULL,
  by            TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  item_key      TEXT NOT NULL,
  how           TEXT NOT NULL CHECK (how IN ('restored', 'never disturbed')),
  note          TEXT,
  UNIQUE (fault_id, seq),
  FOREIGN KEY (attendance_id, fault_id) REFERENCES attendances (id, fault_id) ON DELETE RESTRICT
) STRICT, WITHOUT ROWID;

CREATE TABLE repairs (
  id            TEXT NOT NULL PRIMARY KEY,
  fault_id      TEXT NOT NULL REFERENCES faults (id) ON DELETE RESTRICT,
  seq           INTEGER NOT NULL CHECK (seq > 0),
  attendance_id TEXT NOT NULL,
  at            TEXT NOT NULL,
  by            TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  cause         TEXT NOT NULL, -- equipment/cause
  action        TEXT NOT NULL CHECK (action IN ('unit replaced', 'connection remade', 'contact cleaned',
                  'fuse replaced', 'cable repaired', 'adjusted', 'reset', 'nothing changed', 'other')),
  words         TEXT NOT NULL,
  swap          TEXT CHECK (swap IS NULL OR json_valid(swap)),
  override_by   TEXT GENERATED ALWAYS AS (json_extract(swap, '$.override.by')) VIRTUAL REFERENCES people (id) ON DELETE RESTRICT,
  UNIQUE (fault_id, seq),
  CHECK ((action = 'unit replaced') = (swap IS NOT NULL)),
  FOREIGN KEY (attendance_id, fault_id) REFERENCES attendances (id, fault_id) ON DELETE RESTRICT
) STRICT, WITHOUT ROWID;
CREATE INDEX repairs_override ON repairs (override_by) WHERE override_by IS NOT NULL;
CREATE INDEX repairs_cause ON repairs (cause);

CREATE TABLE proofs (
  id            TEXT NOT NULL PRIMARY KEY,
  fault_id      TEXT NOT NULL REFERENCES faults (id) ON DELETE RESTRICT,
  seq           INTEGER NOT NULL CHECK (seq > 0),
  attendance_id TEXT NOT NULL,
  at            TEXT NOT NULL,
  by            TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  kind          TEXT NOT NULL CHECK (kind IN ('reading', 'observation', 'symptom')),
  cause         TEXT NOT NULL,
  round         INTEGER NOT NULL CHECK (round >= 0),
  passed        INTEGER NOT NULL CHECK (passed IN (0, 1)),
  tree          TEXT,
  "check"       TEXT,
  text          TEXT NOT NULL,
  reading       TEXT CHECK (reading IS NULL OR json_valid(reading)),
  range         TEXT CHECK (range IS NULL OR json_valid(range)),
  verdict       TEXT CHECK (verdict IS NULL OR json_valid(verdict)),
  value         REAL,
  unit          TEXT,
  instrument    TEXT,
  reason        TEXT,
  UNIQUE (fault_id, seq),
  FOREIGN KEY (attendance_id, fault_id) REFERENCES attendances (id, fault_id) ON DELETE RESTRICT
) STRICT, WITHOUT ROWID;
CREATE INDEX proofs_check ON proofs (tree, "check", at);

CREATE TABLE identities (
  id            TEXT NOT NULL PRIMARY KEY,
  fault_id      TEXT NOT NULL REFERENCES faults (id) ON DELETE RESTRICT,
  seq           INTEGER NOT NULL CHECK (seq > 0),
  attendance_id TEXT NOT NULL,
  at            TEXT NOT NULL,
  by            TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  typed         TEXT NOT NULL,
  matched       INTEGER NOT NULL CHECK (matched IN (0, 1)),
  UNIQUE (fault_id, seq),
  FOREIGN KEY (attendance_id, fault_id) REFERENCES attendances (id, fault_id) ON DELETE RESTRICT
) STRICT, WITHOUT ROWID;

CREATE TABLE hold_releases (
  id       TEXT NOT NULL PRIMARY KEY,
  fault_id TEXT NOT NULL REFERENCES faults (id) ON DELETE RESTRICT,
  seq      INTEGER NOT NULL CHECK (seq > 0),
  at       TEXT NOT NULL,
  by       TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  reason   TEXT NOT NULL CHECK (length(reason) > 0),
  UNIQUE (fault_id, seq)
) STRICT, WITHOUT ROWID;

CREATE TABLE handovers (
  id            TEXT NOT NULL PRIMARY KEY,
  fault_id      TEXT NOT NULL REFERENCES faults (id) ON DELETE RESTRICT,
  seq           INTEGER NOT NULL CHECK (seq > 0),
  attendance_id TEXT NOT NULL,
  at            TEXT NOT NULL,
  by            TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  next_step     TEXT NOT NULL,
  words         TEXT NOT NULL,
  UNIQUE (fault_id, seq),
  FOREIGN KEY (attendance_id, fault_id) REFERENCES attendances (id, fault_id) ON DELETE RESTRICT
) STRICT, WITHOUT ROWID;

CREATE TABLE handover_items (
  handover_id TEXT NOT NULL REFERENCES handovers (id) ON DELETE RESTRICT,
  key         TEXT NOT NULL,
  place       INTEGER NOT NULL,
  text        TEXT NOT NULL,
  PRIMARY KEY (handover_id, key)
) STRICT, WITHOUT ROWID;

CREATE TABLE handover_confirmations (
  id          TEXT NOT NULL PRIMARY KEY,
  handover_id TEXT NOT NULL,
  key         TEXT NOT NULL,
  at          TEXT NOT NULL,
  by          TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  UNIQUE (handover_id, key),
  FOREIGN KEY (handover_id, key) REFERENCES handover_items (handover_id, key) ON DELETE RESTRICT
) STRICT, WITHOUT ROWID;

CREATE TABLE closures (
  id             TEXT NOT NULL PRIMARY KEY,
  fault_id       TEXT NOT NULL UNIQUE REFERENCES faults (id) ON DELETE RESTRICT,
  attendance_id  TEXT NOT NULL,
  at             TEXT NOT NULL,
  by             TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  outcome        TEXT NOT NULL CHECK (outcome IN ('proven cause', 'probable cause', 'not reproduced', 'not completed', 'passed on')),
  cause          TEXT,
  cleared_itself INTEGER NOT NULL CHECK (cleared_itself IN (0, 1)),
  changed        TEXT NOT NULL,
  words          TEXT NOT NULL,
  CHECK (outcome NOT IN ('proven cause', 'probable cause') OR cause IS NOT NULL),
  FOREIGN KEY (attendance_id, fault_id) REFERENCES attendances (id, fault_id) ON DELETE RESTRICT
) STRICT, WITHOUT ROWID;
CREATE INDEX closures_at ON closures (at);
CREATE INDEX closures_cause ON closures (cause);

-- An engineer's answer to a fault that closed without a cause ("cleared itself"): until then it stays on the list.
CREATE TABLE engineer_notes (
  id       TEXT NOT NULL PRIMARY KEY,
  fault_id TEXT NOT NULL REFERENCES faults (id) ON DELETE RESTRICT,
  seq      INTEGER NOT NULL CHECK (seq > 0),
  at       TEXT NOT NULL,
  by       TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  words    TEXT NOT NULL CHECK (length(words) > 0),
  settled  INTEGER NOT NULL CHECK (settled IN (0, 1)),
  UNIQUE (fault_id, seq)
) STRICT, WITHOUT ROWID;

CREATE TABLE signatures (
  id            TEXT NOT NULL PRIMARY KEY,
  fault_id      TEXT NOT NULL REFERENCES faults (id) ON DELETE RESTRICT,
  seq           INTEGER NOT NULL CHECK (seq > 0),
  attendance_id TEXT NOT NULL,
  at            TEXT NOT NULL,
  by            TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  printed_name  TEXT NOT NULL,
  meaning       TEXT NOT NULL,
  content_hash  TEXT NOT NULL,
  UNIQUE (fault_id, seq),
  FOREIGN KEY (attendance_id, fault_id) REFERENCES attendances (id, fault_id) ON DELETE RESTRICT
) STRICT, WITHOUT ROWID;

-- What happened is never changed and never removed.
CREATE TRIGGER edition_files_no_update BEFORE UPDATE ON edition_files BEGIN SELECT RAISE(ABORT, 'edition_files only append'); END;
CREATE TRIGGER edition_files_no_delete BEFORE DELETE ON edition_files BEGIN SELECT RAISE(ABORT, 'edition_files only append'); END;
CREATE TRIGGER editions_no_update BEFORE UPDATE ON editions BEGIN SELECT RAISE(ABORT, 'editions only append'); END;
CREATE TRIGGER editions_no_delete BEFORE DELETE ON editions BEGIN SELECT RAISE(ABORT, 'editions only append'); END;
CREATE TRIGGER faults_no_update BEFORE UPDATE ON faults BEGIN SELECT RAISE(ABORT, 'faults only append'); END;
CREATE TRIGGER faults_no_delete BEFORE DELETE ON faults BEGIN SELECT RAISE(ABORT, 'faults only append'); END;
CREATE TRIGGER conditions_no_update BEFORE UPDATE ON conditions BEGIN SELECT RAISE(ABORT, 'conditions only append'); END;
CREATE TRIGGER conditions_no_delete BEFORE DELETE ON conditions BEGIN SELECT RAISE(ABORT, 'conditions only append'); END;
CREATE TRIGGER findings_no_update BEFORE UPDATE ON findings BEGIN SELECT RAISE(ABORT, 'findings only append'); END;
CREATE TRIGGER findings_no_delete BEFORE DELETE ON findings BEGIN SELECT RAISE(ABORT, 'findings only append'); END;
CREATE TRIGGER disturbances_no_update BEFORE UPDATE ON disturbances BEGIN SELECT RAISE(ABORT, 'disturbances only append'); END;
CREATE TRIGGER disturbances_no_delete BEFORE DELETE ON disturbances BEGIN SELECT RAISE(ABORT, 'disturbances only append'); END;
CREATE TRIGGER restorations_no_update BEFORE UPDATE ON restorations BEGIN SELECT RAISE(ABORT, 'restorations only append'); END;
CREATE TRIGGER restorations_no_delete BEFORE DELETE ON restorations BEGIN SELECT RAISE(ABORT, 'restorations only append'); END;
CREATE TRIGGER repairs_no_update BEFORE UPDATE ON repairs BEGIN SELECT RAISE(ABORT, 'repairs only append'); END;
CREATE TRIGGER repairs_no_delete BEFORE DELETE ON repairs BEGIN SELECT RAISE(ABORT, 'repairs only append'); END;
CREATE TRIGGER proofs_no_update BEFORE UPDATE ON proofs BEGIN SELECT RAISE(ABORT, 'proofs only append'); END;
CREATE TRIGGER proofs_no_delete BEFORE DELETE ON proofs BEGIN SELECT RAISE(ABORT, 'proofs only append'); END;
CREATE TRIGGER identities_no_update BEFORE UPDATE ON identities BEGIN SELECT RAISE(ABORT, 'identities only append'); END;
CREATE TRIGGER identities_no_delete BEFORE DELETE ON identities BEGIN SELECT RAISE(ABORT, 'identities only append'); END;
CREATE TRIGGER hold_releases_no_update BEFORE UPDATE ON hold_releases BEGIN SELECT RAISE(ABORT, 'hold_releases only append'); END;
CREATE TRIGGER hold_releases_no_delete BEFORE DELETE ON hold_releases BEGIN SELECT RAISE(ABORT, 'hold_releases only append'); END;
CREATE TRIGGER handovers_no_update BEFORE UPDATE ON handovers BEGIN SELECT RAISE(ABORT, 'handovers only append'); END;
CREATE TRIGGER handovers_no_delete BEFORE DELETE ON handovers BEGIN SELECT RAISE(ABORT, 'handovers only append'); END;
CREATE TRIGGER handover_items_no_update BEFORE UPDATE ON handover_items BEGIN SELECT RAISE(ABORT, 'handover_items only append'); END;
CREATE TRIGGER handover_items_no_delete BEFORE DELETE ON handover_items BEGIN SELECT RAISE(ABORT, 'handover_items only append'); END;
CREATE TRIGGER handover_confirmations_no_update BEFORE UPDATE ON handover_confirmations BEGIN SELECT RAISE(ABORT, 'handover_confirmations only append'); END;
CREATE TRIGGER handover_confirmations_no_delete BEFORE DELETE ON handover_confirmations BEGIN SELECT RAISE(ABORT, 'handover_confirmations only append'); END;
CREATE TRIGGER closures_no_update BEFORE UPDATE ON closures BEGIN SELECT RAISE(ABORT, 'closures only append'); END;
CREATE TRIGGER closures_no_delete BEFORE DELETE ON closures BEGIN SELECT RAISE(ABORT, 'closures only append'); END;
CREATE TRIGGER engineer_notes_no_update BEFORE UPDATE ON engineer_notes BEGIN SELECT RAISE(ABORT, 'engineer_notes only append'); END;
CREATE TRIGGER engineer_notes_no_delete BEFORE DELETE ON engineer_notes BEGIN SELECT RAISE(ABORT, 'engineer_notes only append'); END;
CREATE TRIGGER signatures_no_update BEFORE UPDATE ON signatures BEGIN SELECT RAISE(ABORT, 'signatures only append'); END;
CREATE TRIGGER signatures_no_delete BEFORE DELETE ON signatures BEGIN SELECT RAISE(ABORT, 'signatures only append'); END;

-- An attendance can only be ended, once; a fitting can only be ended, once.
CREATE TRIGGER attendances_end_once BEFORE UPDATE ON attendances
WHEN OLD.ended_at IS NOT NULL OR NEW.ended_at IS NULL
  OR NEW.id <> OLD.id OR NEW.fault_id <> OLD.fault_id OR NEW.seq <> OLD.seq OR NEW.person_id <> OLD.person_id
  OR NEW.started_at <> OLD.started_at OR NEW.seen_history_at <> OLD.seen_history_at
  OR NEW.spoken_to <> OLD.spoken_to OR NEW.protection_words <> OLD.protection_words
  OR NEW.isolation_words <> OLD.isolation_words OR NEW.expected_finish IS NOT OLD.expected_finish
  OR NEW.handover_id IS NOT OLD.handover_id
BEGIN SELECT RAISE(ABORT, 'attendances only end'); END;
CREATE TRIGGER attendances_no_delete BEFORE DELETE ON attendances BEGIN SELECT RAISE(ABORT, 'attendances only end'); END;
CREATE TRIGGER fittings_end_once BEFORE UPDATE ON fittings
WHEN OLD.removed_at IS NOT NULL OR NEW.removed_at IS NULL
  OR NEW.id <> OLD.id OR NEW.unit_id <> OLD.unit_id OR NEW.position_id <> OLD.position_id OR NEW.fitted_at <> OLD.fitted_at
BEGIN SELECT RAISE(ABORT, 'fittings only end'); END;
CREATE TRIGGER fittings_no_delete BEFORE DELETE ON fittings BEGIN SELECT RAISE(ABORT, 'fittings only end'); END;

-- INSERT OR REPLACE pushes out whatever row has one of the new row's keys, and fires the delete triggers above only
-- when recursive_triggers is on. So a row with a known key is refused before that, whatever the conflict clause.
CREATE TRIGGER edition_files_no_replace BEFORE INSERT ON edition_files
WHEN EXISTS (SELECT 1 FROM edition_files WHERE edition_id = NEW.edition_id AND path = NEW.path)
BEGIN SELECT RAISE(ABORT, 'edition_files only append'); END;
CREATE TRIGGER editions_no_replace BEFORE INSERT ON editions
WHEN EXISTS (SELECT 1 FROM editions WHERE id = NEW.id OR seq = NEW.seq)
BEGIN SELECT RAISE(ABORT, 'editions only append'); END;
CREATE TRIGGER faults_no_replace BEFORE INSERT ON faults
WHEN EXISTS (SELECT 1 FROM faults WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'faults only append'); END;
CREATE TRIGGER conditions_no_replace BEFORE INSERT ON conditions
WHEN EXISTS (SELECT 1 FROM conditions WHERE fault_id = NEW.fault_id AND name = NEW.name)
BEGIN SELECT RAISE(ABORT, 'conditions only append'); END;
CREATE TRIGGER findings_no_replace BEFORE INSERT ON findings
WHEN EXISTS (SELECT 1 FROM findings WHERE id = NEW.id OR (fault_id = NEW.fault_id AND seq = NEW.seq) OR replaces = NEW.replaces)
BEGIN SELECT RAISE(ABORT, 'findings only append'); END;
CREATE TRIGGER disturbances_no_replace BEFORE INSERT ON disturbances
WHEN EXISTS (SELECT 1 FROM disturbances WHERE id = NEW.id OR (fault_id = NEW.fault_id AND seq = NEW.seq))
BEGIN SELECT RAISE(ABORT, 'disturbances only append'); END;
CREATE TRIGGER restorations_no_replace BEFORE INSERT ON restorations
WHEN EXISTS (SELECT 1 FROM restorations WHERE id = NEW.id OR (fault_id = NEW.fault_id AND seq = NEW.seq))
BEGIN SELECT RAISE(ABORT, 'restorations only append'); END;
CREATE TRIGGER repairs_no_replace BEFORE INSERT ON repairs
WHEN EXISTS (SELECT 1 FROM repairs WHERE id = NEW.id OR (fault_id = NEW.fault_id AND seq = NEW.seq))
BEGIN SELECT RAISE(ABORT, 'repairs only append'); END;
CREATE TRIGGER proofs_no_replace BEFORE INSERT ON proofs
WHEN EXISTS (SELECT 1 FROM proofs WHERE id = NEW.id OR (fault_id = NEW.fault_id AND seq = NEW.seq))
BEGIN SELECT RAISE(ABORT, 'proofs only append'); END;
CREATE TRIGGER identities_no_replace BEFORE INSERT ON identities
WHEN EXISTS (SELECT 1 FROM identities WHERE id = NEW.id OR (fault_id = NEW.fault_id AND seq = NEW.seq))
BEGIN SELECT RAISE(ABORT, 'identities only append'); END;
CREATE TRIGGER hold_releases_no_replace BEFORE INSERT ON hold_releases
WHEN EXISTS (SELECT 1 FROM hold_releases WHERE id = NEW.id OR (fault_id = NEW.fault_id AND seq = NEW.seq))
BEGIN SELECT RAISE(ABORT, 'hold_releases only append'); END;
CREATE TRIGGER handovers_no_replace BEFORE INSERT ON handovers
WHEN EXISTS (SELECT 1 FROM handovers WHERE id = NEW.id OR (fault_id = NEW.fault_id AND seq = NEW.seq))
BEGIN SELECT RAISE(ABORT, 'handovers only append'); END;
CREATE TRIGGER handover_items_no_replace BEFORE INSERT ON handover_items
WHEN EXISTS (SELECT 1 FROM handover_items WHERE handover_id = NEW.handover_id AND key = NEW.key)
BEGIN SELECT RAISE(ABORT, 'handover_items only append'); END;
CREATE TRIGGER handover_confirmations_no_replace BEFORE INSERT ON handover_confirmations
WHEN EXISTS (SELECT 1 FROM handover_confirmations WHERE id = NEW.id OR (handover_id = NEW.handover_id AND key = NEW.key))
BEGIN SELECT RAISE(ABORT, 'handover_confirmations only append'); END;
CREATE TRIGGER closures_no_replace BEFORE INSERT ON closures
WHEN EXISTS (SELECT 1 FROM closures WHERE id = NEW.id OR fault_id = NEW.fault_id)
BEGIN SELECT RAISE(ABORT, 'closures only append'); END;
CREATE TRIGGER engineer_notes_no_replace BEFORE INSERT ON engineer_notes
WHEN EXISTS (SELECT 1 FROM engineer_notes WHERE id = NEW.id OR (fault_id = NEW.fault_id AND seq = NEW.seq))
BEGIN SELECT RAISE(ABORT, 'engineer_notes only append'); END;
CREATE TRIGGER signatures_no_replace BEFORE INSERT ON signatures
WHEN EXISTS (SELECT 1 FROM signatures WHERE id = NEW.id OR (fault_id = NEW.fault_id AND seq = NEW.seq))
BEGIN SELECT RAISE(ABORT, 'signatures only append'); END;
CREATE TRIGGER attendances_no_replace BEFORE INSERT ON attendances
WHEN EXISTS (SELECT 1 FROM attendances WHERE id = NEW.id OR (fault_id = NEW.fault_id AND seq = NEW.seq) OR handover_id = NEW.handover_id
    OR (fault_id = NEW.fault_id AND ended_at IS NULL AND NEW.ended_at IS NULL))
BEGIN SELECT RAISE(ABORT, 'attendances only end'); END;
CREATE TRIGGER fittings_no_replace BEFORE INSERT ON fittings
WHEN EXISTS (SELECT 1 FROM fittings WHERE id = NEW.id OR (unit_id = NEW.unit_id AND removed_at IS NULL AND NEW.removed_at IS NULL))
BEGIN SELECT RAISE(ABORT, 'fittings only end'); END;
