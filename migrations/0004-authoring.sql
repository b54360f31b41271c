-- Writing fault trees in the program: drafts, what is proposed, who agreed, which edition is in use since when, and what
-- the field says about a check.

-- A draft is one file being written. It is working material: only its texts that others may have seen are kept for good.
CREATE TABLE drafts (
  id              TEXT NOT NULL PRIMARY KEY,
  path            TEXT NOT NULL CHECK (path GLOB 'trees/?*.md' OR path GLOB 'equipment/?*.md'),
  base_edition_id TEXT NOT NULL REFERENCES editions (id) ON DELETE RESTRICT,
  begun_at        TEXT NOT NULL,
  begun_by        TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  ended_at        TEXT,
  ended_how       TEXT CHECK (ended_how IN ('published', 'put away')),
  CHECK ((ended_at IS NULL) = (ended_how IS NULL))
) STRICT;
-- A file has one draft at a time.
CREATE UNIQUE INDEX drafts_open ON drafts (path) WHERE ended_at IS NULL;
CREATE INDEX drafts_beginner ON drafts (begun_by);
CREATE INDEX drafts_edition ON drafts (base_edition_id);

CREATE TABLE draft_texts (
  id       TEXT NOT NULL PRIMARY KEY,
  draft_id TEXT NOT NULL REFERENCES drafts (id) ON DELETE RESTRICT,
  seq      INTEGER NOT NULL CHECK (seq > 0),
  at       TEXT NOT NULL,
  by       TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  text     TEXT, -- null: the file is to be taken out
  pause    INTEGER NOT NULL CHECK (pause IN (0, 1)), -- kept by itself while typing
  aside    INTEGER NOT NULL CHECK (aside IN (0, 1)), -- typed over a text that was no longer the newest
  settled_at TEXT, -- an aside that was read and answered
  UNIQUE (draft_id, seq)
) STRICT;
CREATE INDEX draft_texts_writer ON draft_texts (by);

CREATE TABLE proposals (
  id              TEXT NOT NULL PRIMARY KEY,
  at              TEXT NOT NULL,
  by              TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  base_edition_id TEXT NOT NULL REFERENCES editions (id) ON DELETE RESTRICT,
  note            TEXT NOT NULL CHECK (length(note) > 0)
) STRICT, WITHOUT ROWID;
CREATE INDEX proposals_by ON proposals (by, at);
CREATE INDEX proposals_edition ON proposals (base_edition_id);

CREATE TABLE proposal_files (
  proposal_id TEXT NOT NULL REFERENCES proposals (id) ON DELETE RESTRICT,
  path        TEXT NOT NULL,
  draft_id    TEXT NOT NULL REFERENCES drafts (id) ON DELETE RESTRICT,
  text        TEXT,
  PRIMARY KEY (proposal_id, path)
) STRICT, WITHOUT ROWID;
CREATE INDEX proposal_files_draft ON proposal_files (draft_id);

-- Whose words are in it: they may not approve it.
CREATE TABLE proposal_writers (
  proposal_id TEXT NOT NULL REFERENCES proposals (id) ON DELETE RESTRICT,
  person_id   TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  PRIMARY KEY (proposal_id, person_id)
) STRICT, WITHOUT ROWID;
CREATE INDEX proposal_writers_person ON proposal_writers (person_id);

CREATE TABLE decisions (
  id          TEXT NOT NULL PRIMARY KEY,
  proposal_id TEXT NOT NULL REFERENCES proposals (id) ON DELETE RESTRICT,
  seq         INTEGER NOT NULL CHECK (seq > 0),
  at          TEXT NOT NULL,
  by          TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  verdict     TEXT NOT NULL CHECK (verdict IN ('approved', 'sent back', 'taken back')),
  words       TEXT NOT NULL,
  UNIQUE (proposal_id, seq)
) STRICT, WITHOUT ROWID;
CREATE INDEX decisions_by ON decisions (by);

-- Which edition is in use since when: the newest row is the one in use.
CREATE TABLE publications (
  id          TEXT NOT NULL PRIMARY KEY,
  seq         INTEGER NOT NULL UNIQUE CHECK (seq > 0),
  edition_id  TEXT NOT NULL REFERENCES editions (id) ON DELETE RESTRICT,
  at          TEXT NOT NULL,
  by          TEXT REFERENCES people (id) ON DELETE RESTRICT,
  how         TEXT NOT NULL CHECK (how IN ('folder', 'proposal', 'withdrawal')),
  note        TEXT NOT NULL,
  proposal_id TEXT UNIQUE REFERENCES proposals (id) ON DELETE RESTRICT,
  folder_id   TEXT REFERENCES editions (id) ON DELETE RESTRICT, -- what the folder held when it was taken in
  CHECK ((how = 'proposal') = (proposal_id IS NOT NULL)),
  CHECK ((how = 'folder') = (folder_id IS NOT NULL))
) STRICT, WITHOUT ROWID;
CREATE INDEX publications_edition ON publications (edition_id);
CREATE INDEX publications_by ON publications (by);
CREATE INDEX publications_folder ON publications (folder_id);

INSERT INTO publications (id, seq, edition_id, at, by, how, note, folder_id)
SELECT id, seq, id, published_at, published_by, 'folder', note, id FROM editions ORDER BY seq;

-- A tree that no new fault may begin on, at once and without a new edition.
CREATE TABLE tree_withdrawals (
  id        TEXT NOT NULL PRIMARY KEY,
  tree      TEXT NOT NULL,
  at        TEXT NOT NULL,
  by        TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  words     TEXT NOT NULL CHECK (length(words) > 0),
  lifted_at TEXT,
  lifted_by TEXT REFERENCES people (id) ON DELETE RESTRICT,
  CHECK ((lifted_at IS NULL) = (lifted_by IS NULL))
) STRICT;
CREATE UNIQUE INDEX tree_withdrawals_now ON tree_withdrawals (tree) WHERE lifted_at IS NULL;
CREATE INDEX tree_withdrawals_by ON tree_withdrawals (by);
CREATE INDEX tree_withdrawals_lifter ON tree_withdrawals (lifted_by) WHERE lifted_by IS NOT NULL;

-- What a technician says about a check, from the check itself.
CREATE TABLE field_reports (
  id         TEXT NOT NULL PRIMARY KEY,
  fault_id   TEXT NOT NULL REFERENCES faults (id) ON DELETE RESTRICT,
  tree       TEXT NOT NULL,
  "check"    TEXT NOT NULL,
  edition_id TEXT NOT NULL REFERENCES editions (id) ON DELETE RESTRICT,
  at         TEXT NOT NULL,
  by         TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  kind       TEXT NOT NULL CHECK (kind IN ('wrong or unclear', 'drawing or label does not match')),
  words      TEXT NOT NULL
) STRICT, WITHOUT ROWID;
CREATE INDEX field_reports_check ON field_reports (tree, "check", at);
CREATE INDEX field_reports_fault ON field_reports (fault_id);
CREATE INDEX field_reports_edition ON field_reports (edition_id);
CREATE INDEX field_reports_by ON field_reports (by);

CREATE TABLE report_answers (
  id        TEXT NOT NULL PRIMARY KEY,
  report_id TEXT NOT NULL REFERENCES field_reports (id) ON DELETE RESTRICT,
  at        TEXT NOT NULL,
  by        TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT,
  words     TEXT NOT NULL CHECK (length(words) > 0)
) STRICT, WITHOUT ROWID;
CREATE INDEX report_answers_report ON report_answers (report_id, at);
CREATE INDEX report_answers_by ON report_answers (by);

-- The reporter has read the answer.
CREATE TABLE report_receipts (
  answer_id TEXT NOT NULL PRIMARY KEY REFERENCES report_answers (id) ON DELETE RESTRICT,
  at        TEXT NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TRIGGER publications_no_update BEFORE UPDATE ON publications BEGIN SELECT RAISE(ABORT, 'publications only append'); END;
CREATE TRIGGER publications_no_delete BEFORE DELETE ON publications BEGIN SELECT RAISE(ABORT, 'publications only append'); END;
CREATE TRIGGER publications_no_replace BEFORE INSERT ON publications
WHEN EXISTS (SELECT 1 FROM publications WHERE id = NEW.id OR seq = NEW.seq OR proposal_id = NEW.proposal_id)
BEGIN SELECT RAISE(ABORT, 'publications only append'); END;
CREATE TRIGGER proposals_no_update BEFORE UPDATE ON proposals BEGIN SELECT RAISE(ABORT, 'proposals only append'); END;
CREATE TRIGGER proposals_no_delete BEFORE DELETE ON proposals BEGIN SELECT RAISE(ABORT, 'proposals only append'); END;
CREATE TRIGGER proposals_no_replace BEFORE INSERT ON proposals
WHEN EXISTS (SELECT 1 FROM proposals WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'proposals only append'); END;
CREATE TRIGGER proposal_files_no_update BEFORE UPDATE ON proposal_files BEGIN SELECT RAISE(ABORT, 'proposal_files only append'); END;
CREATE TRIGGER proposal_files_no_delete BEFORE DELETE ON proposal_files BEGIN SELECT RAISE(ABORT, 'proposal_files only append'); END;
CREATE TRIGGER proposal_files_no_replace BEFORE INSERT ON proposal_files
WHEN EXISTS (SELECT 1 FROM proposal_files WHERE proposal_id = NEW.proposal_id AND path = NEW.path)
BEGIN SELECT RAISE(ABORT, 'proposal_files only append'); END;
CREATE TRIGGER proposal_writers_no_update BEFORE UPDATE ON proposal_writers BEGIN SELECT RAISE(ABORT, 'proposal_writers only append'); END;
CREATE TRIGGER proposal_writers_no_delete BEFORE DELETE ON proposal_writers BEGIN SELECT RAISE(ABORT, 'proposal_writers only append'); END;
CREATE TRIGGER proposal_writers_no_replace BEFORE INSERT ON proposal_writers
WHEN EXISTS (SELECT 1 FROM proposal_writers WHERE proposal_id = NEW.proposal_id AND person_id = NEW.person_id)
BEGIN SELECT RAISE(ABORT, 'proposal_writers only append'); END;
CREATE TRIGGER decisions_no_update BEFORE UPDATE ON decisions BEGIN SELECT RAISE(ABORT, 'decisions only append'); END;
CREATE TRIGGER decisions_no_delete BEFORE DELETE ON decisions BEGIN SELECT RAISE(ABORT, 'decisions only append'); END;
CREATE TRIGGER decisions_no_replace BEFORE INSERT ON decisions
WHEN EXISTS (SELECT 1 FROM decisions WHERE id = NEW.id OR (proposal_id = NEW.proposal_id AND seq = NEW.seq))
BEGIN SELECT RAISE(ABORT, 'decisions only append'); END;
CREATE TRIGGER field_reports_no_update BEFORE UPDATE ON field_reports BEGIN SELECT RAISE(ABORT, 'field_reports only append'); END;
CREATE TRIGGER field_reports_no_delete BEFORE DELETE ON field_reports BEGIN SELECT RAISE(ABORT, 'field_reports only append'); END;
CREATE TRIGGER field_reports_no_replace BEFORE INSERT ON field_reports
WHEN EXISTS (SELECT 1 FROM field_reports WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'field_reports only append'); END;
CREATE TRIGGER report_answers_no_update BEFORE UPDATE ON report_answers BEGIN SELECT RAISE(ABORT, 'report_answers only append'); END;
CREATE TRIGGER report_answers_no_delete BEFORE DELETE ON report_answers BEGIN SELECT RAISE(ABORT, 'report_answers only append'); END;
CREATE TRIGGER report_answers_no_replace BEFORE INSERT ON report_answers
WHEN EXISTS (SELECT 1 FROM report_answers WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'report_answers only append'); END;
CREATE TRIGGER report_receipts_no_update BEFORE UPDATE ON report_receipts BEGIN SELECT RAISE(ABORT, 'report_receipts only append'); END;
CREATE TRIGGER report_receipts_no_delete BEFORE DELETE ON report_receipts BEGIN SELECT RAISE(ABORT, 'report_receipts only append'); END;
CREATE TRIGGER report_receipts_no_replace BEFORE INSERT ON report_receipts
WHEN EXISTS (SELECT 1 FROM report_receipts WHERE answer_id = NEW.answer_id)
BEGIN SELECT RAISE(ABORT, 'report_receipts only append'); END;
CREATE TRIGGER tree_withdrawals_lift_once BEFORE UPDATE ON tree_withdrawals
WHEN OLD.lifted_at IS NOT NULL OR NEW.lifted_at IS NULL OR NEW.id <> OLD.id OR NEW.tree <> OLD.tree OR NEW.at <> OLD.at
  OR NEW.by <> OLD.by OR NEW.words <> OLD.words
BEGIN SELECT RAISE(ABORT, 'tree_withdrawals only lift'); END;
CREATE TRIGGER tree_withdrawals_no_delete BEFORE DELETE ON tree_withdrawals BEGIN SELECT RAISE(ABORT, 'tree_withdrawals only lift'); END;
CREATE TRIGGER tree_withdrawals_no_replace BEFORE INSERT ON tree_withdrawals
WHEN EXISTS (SELECT 1 FROM tree_withdrawals WHERE id = NEW.id OR (tree = NEW.tree AND lifted_at IS NULL AND NEW.lifted_at IS NULL))
BEGIN SELECT RAISE(ABORT, 'tree_withdrawals only lift'); END;
