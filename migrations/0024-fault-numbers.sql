-- A short number for each fault, to be said on the phone and written on paper. The depot gives it when the fault arrives,
-- so a tablet without signal has none yet (it drops the trigger). Kept by the triggers below and by nothing else.
CREATE TABLE fault_numbers (
  number   INTEGER NOT NULL PRIMARY KEY,
  fault_id TEXT NOT NULL UNIQUE REFERENCES faults (id) ON DELETE RESTRICT
) STRICT;

INSERT INTO fault_numbers (fault_id) SELECT id FROM faults ORDER BY recorded_at, id;

CREATE TRIGGER faults_numbered AFTER INSERT ON faults
BEGIN
  INSERT INTO fault_numbers (fault_id) VALUES (NEW.id);
END;
-- Only an import that is given up takes a fault away.
CREATE TRIGGER faults_swept_as_numbered BEFORE DELETE ON faults
BEGIN
  DELETE FROM fault_numbers WHERE fault_id = OLD.id;
END;
CREATE TRIGGER fault_numbers_no_update BEFORE UPDATE ON fault_numbers BEGIN SELECT RAISE(ABORT, 'fault numbers only append'); END;
