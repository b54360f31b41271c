-- What engineers change of a site or a position by hand, and why. What was imported before has the trail alone.

CREATE TABLE place_changes (
  id      TEXT NOT NULL PRIMARY KEY,
  at      TEXT NOT NULL,
  by      TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  subject TEXT NOT NULL CHECK (subject IN ('site', 'position')),
  key     TEXT NOT NULL, -- of the site or position; a site that was merged or taken away is no more
  why     TEXT NOT NULL CHECK (length(why) > 0),
  was     TEXT NOT NULL CHECK (json_valid(was)), -- what differs, by its name in words
  became  TEXT NOT NULL CHECK (json_valid(became))
) STRICT, WITHOUT ROWID;
CREATE INDEX place_changes_place ON place_changes (subject, key, at);
CREATE INDEX place_changes_person ON place_changes (by);
CREATE TRIGGER place_changes_no_update BEFORE UPDATE ON place_changes
BEGIN SELECT RAISE(ABORT, 'place_changes only append'); END;
CREATE TRIGGER place_changes_no_delete BEFORE DELETE ON place_changes
BEGIN SELECT RAISE(ABORT, 'place_changes only append'); END;
CREATE TRIGGER place_changes_no_replace BEFORE INSERT ON place_changes
WHEN EXISTS (SELECT 1 FROM place_changes WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'place_changes only append'); END;
