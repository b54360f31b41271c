-- The table of withdrawn trees, made anew without SQLite's hidden row number: through it a stranger's connection could
-- push a lifted withdrawal out with another row, past the triggers. All rows stay as they are.

CREATE TABLE tree_withdrawals_anew (
  id        TEXT NOT NULL PRIMARY KEY,
  tree      TEXT NOT NULL,
  at        TEXT NOT NULL,
  by        TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  words     TEXT NOT NULL CHECK (length(words) > 0),
  lifted_at TEXT,
  lifted_by TEXT REFERENCES people (id) ON DELETE RESTRICT,
  CHECK ((lifted_at IS NULL) = (lifted_by IS NULL))
) STRICT, WITHOUT ROWID;
INSERT INTO tree_withdrawals_anew (id, tree, at, by, words, lifted_at, lifted_by)
SELECT id, tree, at, by, words, lifted_at, lifted_by FROM tree_withdrawals;
DROP TABLE tree_withdrawals;
ALTER TABLE tree_withdrawals_anew RENAME TO tree_withdrawals;

CREATE UNIQUE INDEX tree_withdrawals_now ON tree_withdrawals (tree) WHERE lifted_at IS NULL;
CREATE INDEX tree_withdrawals_by ON tree_withdrawals (by);
CREATE INDEX tree_withdrawals_lifter ON tree_withdrawals (lifted_by) WHERE lifted_by IS NOT NULL;

CREATE TRIGGER tree_withdrawals_lift_once BEFORE UPDATE ON tree_withdrawals
WHEN OLD.lifted_at IS NOT NULL OR NEW.lifted_at IS NULL OR NEW.id <> OLD.id OR NEW.tree <> OLD.tree OR NEW.at <> OLD.at
  OR NEW.by <> OLD.by OR NEW.words <> OLD.words
BEGIN SELECT RAISE(ABORT, 'tree_withdrawals only lift'); END;
CREATE TRIGGER tree_withdrawals_no_delete BEFORE DELETE ON tree_withdrawals BEGIN SELECT RAISE(ABORT, 'tree_withdrawals only lift'); END;
CREATE TRIGGER tree_withdrawals_no_replace BEFORE INSERT ON tree_withdrawals
WHEN EXISTS (SELECT 1 FROM tree_withdrawals WHERE id = NEW.id OR (tree = NEW.tree AND lifted_at IS NULL AND NEW.lifted_at IS NULL))
BEGIN SELECT RAISE(ABORT, 'tree_withdrawals only lift'); END;
