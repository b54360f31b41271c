-- Pictures taken on site. The file itself stands beside the database, named by its SHA-256; here is what it belongs to.

CREATE TABLE photos (
  id            TEXT NOT NULL PRIMARY KEY,
  fault_id      TEXT NOT NULL REFERENCES faults (id) ON DELETE RESTRICT,
  attendance_id TEXT NOT NULL REFERENCES attendances (id) ON DELETE RESTRICT,
  at            TEXT NOT NULL,
  by            TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  finding_id    TEXT REFERENCES findings (id) ON DELETE RESTRICT,
  report_id     TEXT REFERENCES field_reports (id) ON DELETE RESTRICT,
  words         TEXT, -- what it shows, for who can't see it
  sha256        TEXT NOT NULL CHECK (length(sha256) = 64),
  type          TEXT NOT NULL CHECK (type IN ('image/jpeg', 'image/png')),
  bytes         INTEGER NOT NULL CHECK (bytes > 0),
  CHECK ((finding_id IS NULL) <> (report_id IS NULL))
) STRICT, WITHOUT ROWID;
CREATE INDEX photos_fault ON photos (fault_id, at);
CREATE INDEX photos_attendance ON photos (attendance_id);
CREATE INDEX photos_finding ON photos (finding_id);
CREATE INDEX photos_report ON photos (report_id);
CREATE INDEX photos_by ON photos (by);

CREATE TRIGGER photos_no_update BEFORE UPDATE ON photos BEGIN SELECT RAISE(ABORT, 'photos only append'); END;
CREATE TRIGGER photos_no_delete BEFORE DELETE ON photos BEGIN SELECT RAISE(ABORT, 'photos only append'); END;
CREATE TRIGGER photos_no_replace BEFORE INSERT ON photos WHEN EXISTS (SELECT 1 FROM photos WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'photos only append'); END;
