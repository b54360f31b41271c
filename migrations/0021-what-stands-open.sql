-- What lists show of all faults there ever were, kept beside them, so that no list looks through them all: which are
-- open, which closed in doubt, and when a repair was proved at each position. Kept by the triggers below and by nothing
-- else; it can be made again from what it was made of.

CREATE TABLE open_faults (
  fault_id    TEXT NOT NULL PRIMARY KEY REFERENCES faults (id) ON DELETE RESTRICT,
  position_id TEXT NOT NULL REFERENCES positions (id) ON DELETE RESTRICT
) STRICT, WITHOUT ROWID;
CREATE INDEX open_faults_position ON open_faults (position_id);

-- Closed as cleared itself or not reproduced, not brought in from a file, and settled by no engineer's note.
CREATE TABLE doubtful_faults (
  fault_id TEXT NOT NULL PRIMARY KEY REFERENCES faults (id) ON DELETE RESTRICT
) STRICT, WITHOUT ROWID;

CREATE TABLE proved_repairs (
  position_id TEXT NOT NULL REFERENCES positions (id) ON DELETE RESTRICT,
  at          TEXT NOT NULL, -- when the fault was closed with its cause proven
  fault_id    TEXT NOT NULL, -- swept with its closure, and so not found by it
  PRIMARY KEY (position_id, at, fault_id)
) STRICT, WITHOUT ROWID;

INSERT INTO open_faults (fault_id, position_id)
SELECT id, position_id FROM faults f WHERE NOT EXISTS (SELECT 1 FROM closures c WHERE c.fault_id = f.id);
INSERT INTO doubtful_faults (fault_id)
SELECT fault_id FROM closures c WHERE (c.cleared_itself = 1 OR c.outcome = 'not reproduced')
  AND NOT EXISTS (SELECT 1 FROM imported_faults i WHERE i.fault_id = c.fault_id)
  AND NOT EXISTS (SELECT 1 FROM engineer_notes n WHERE n.fault_id = c.fault_id AND n.settled = 1);
INSERT INTO proved_repairs (position_id, at, fault_id)
SELECT f.position_id, c.at, f.id FROM closures c JOIN faults f ON f.id = c.fault_id WHERE c.outcome = 'proven cause';

CREATE TRIGGER faults_kept_as_open AFTER INSERT ON faults
BEGIN
  INSERT INTO open_faults (fault_id, position_id) VALUES (NEW.id, NEW.position_id);
END;
-- Only an import that is given up takes a fault away.
CREATE TRIGGER faults_swept_as_open BEFORE DELETE ON faults
BEGIN
  DELETE FROM open_faults WHERE fault_id = OLD.id;
  DELETE FROM doubtful_faults WHERE fault_id = OLD.id;
END;
CREATE TRIGGER closures_kept_as_closed AFTER INSERT ON closures
BEGIN
  DELETE FROM open_faults WHERE fault_id = NEW.fault_id;
END;
CREATE TRIGGER closures_kept_as_proved AFTER INSERT ON closures WHEN NEW.outcome = 'proven cause'
BEGIN
  INSERT INTO proved_repairs (position_id, at, fault_id)
  SELECT position_id, NEW.at, id FROM faults WHERE id = NEW.fault_id;
END;
CREATE TRIGGER closures_swept_as_proved AFTER DELETE ON closures WHEN OLD.outcome = 'proven cause'
BEGIN
  DELETE FROM proved_repairs WHERE (position_id, at, fault_id) IN (
    SELECT position_id, OLD.at, id FROM faults WHERE id = OLD.fault_id);
END;
CREATE TRIGGER closures_kept_as_doubtful AFTER INSERT ON closures
WHEN (NEW.cleared_itself = 1 OR NEW.outcome = 'not reproduced')
  AND NOT EXISTS (SELECT 1 FROM imported_faults WHERE fault_id = NEW.fault_id)
  AND NOT EXISTS (SELECT 1 FROM engineer_notes WHERE fault_id = NEW.fault_id AND settled = 1)
BEGIN
  INSERT INTO doubtful_faults (fault_id) VALUES (NEW.fault_id);
END;
CREATE TRIGGER imported_faults_kept_as_settled AFTER INSERT ON imported_faults
BEGIN
  DELETE FROM doubtful_faults WHERE fault_id = NEW.fault_id;
END;
CREATE TRIGGER engineer_notes_kept_as_settled AFTER INSERT ON engineer_notes WHEN NEW.settled = 1
BEGIN
  DELETE FROM doubtful_faults WHERE fault_id = NEW.fault_id;
END;
