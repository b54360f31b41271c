-- From when until when a kind of record is whole, as an engineer says of a source: what is kept here, or a file that came
-- in. The newest row of a source counts; without one it is told by the entries themselves.
CREATE TABLE known_spans (
  id     TEXT NOT NULL PRIMARY KEY,
  seq    INTEGER NOT NULL UNIQUE CHECK (seq > 0), -- order of arrival
  at     TEXT NOT NULL,
  by     TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  kind   TEXT NOT NULL CHECK (kind IN ('faults', 'rounds', 'unit changes', 'temperatures')),
  source TEXT NOT NULL CHECK (length(source) > 0), -- 'here', or the id of an import
  since  TEXT NOT NULL CHECK (since GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'), -- the first day that is whole
  until  TEXT CHECK (until IS NULL OR until GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'), -- the last; none: still kept
  words  TEXT NOT NULL, -- how that is known
  CHECK (until IS NULL OR until >= since)
) STRICT, WITHOUT ROWID;
CREATE INDEX known_spans_person ON known_spans (by);
CREATE TRIGGER known_spans_no_update BEFORE UPDATE ON known_spans BEGIN SELECT RAISE(ABORT, 'known_spans only append'); END;
CREATE TRIGGER known_spans_no_delete BEFORE DELETE ON known_spans BEGIN SELECT RAISE(ABORT, 'known_spans only append'); END;
CREATE TRIGGER known_spans_no_replace BEFORE INSERT ON known_spans
WHEN EXISTS (SELECT 1 FROM known_spans WHERE id = NEW.id OR seq = NEW.seq)
BEGIN SELECT RAISE(ABORT, 'known_spans only append'); END;
