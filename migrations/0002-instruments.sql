-- The depot's instruments: how far each may be off, and until when its calibration is in date. Calibrations only
-- append, so that it can be told later whether an instrument was in date when a reading was taken.

CREATE TABLE instruments (
  id        TEXT NOT NULL PRIMARY KEY,
  kind      TEXT NOT NULL CHECK (length(kind) BETWEEN 1 AND 80),
  serial    TEXT NOT NULL COLLATE NOCASE CHECK (length(serial) BETWEEN 1 AND 60),
  functions TEXT NOT NULL CHECK (json_valid(functions)),
  active    INTEGER NOT NULL DEFAULT 1 CHECK (active IN (0, 1)),
  UNIQUE (kind, serial)
) STRICT;

CREATE TABLE calibrations (
  id            TEXT NOT NULL PRIMARY KEY,
  instrument_id TEXT NOT NULL REFERENCES instruments (id) ON DELETE RESTRICT,
  recorded_at   TEXT NOT NULL,
  due           TEXT NOT NULL CHECK (due GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]') -- the last day in date
) STRICT, WITHOUT ROWID;
CREATE INDEX calibrations_instrument ON calibrations (instrument_id, recorded_at);

CREATE TRIGGER calibrations_no_update BEFORE UPDATE ON calibrations BEGIN SELECT RAISE(ABORT, 'calibrations only append'); END;
CREATE TRIGGER calibrations_no_delete BEFORE DELETE ON calibrations BEGIN SELECT RAISE(ABORT, 'calibrations only append'); END;
CREATE TRIGGER calibrations_no_replace BEFORE INSERT ON calibrations WHEN EXISTS (SELECT 1 FROM calibrations WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'calibrations only append'); END;
