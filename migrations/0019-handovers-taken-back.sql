-- After a handover is written, whoever wrote it does nothing more at the fault unless they take it back; and whoever takes
-- a fault over without one confirms what stands disturbed then.

CREATE TABLE handover_withdrawals (
  id          TEXT NOT NULL PRIMARY KEY,
  handover_id TEXT NOT NULL UNIQUE REFERENCES handovers (id) ON DELETE RESTRICT,
  at          TEXT NOT NULL,
  by          TEXT NOT NULL REFERENCES people (id) ON DELETE RESTRICT
) STRICT, WITHOUT ROWID;
CREATE INDEX handover_withdrawals_by ON handover_withdrawals (by);

-- What the person beginning an attendance was shown as disturbed, and confirmed one by one.
CREATE TABLE taken_over_items (
  attendance_id TEXT NOT NULL REFERENCES attendances (id) ON DELETE RESTRICT,
  key           TEXT NOT NULL,
  place         INTEGER NOT NULL,
  text          TEXT NOT NULL,
  PRIMARY KEY (attendance_id, key)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER handover_withdrawals_no_update BEFORE UPDATE ON handover_withdrawals BEGIN SELECT RAISE(ABORT, 'handover_withdrawals only append'); END;
CREATE TRIGGER handover_withdrawals_no_delete BEFORE DELETE ON handover_withdrawals BEGIN SELECT RAISE(ABORT, 'handover_withdrawals only append'); END;
CREATE TRIGGER handover_withdrawals_no_replace BEFORE INSERT ON handover_withdrawals
WHEN EXISTS (SELECT 1 FROM handover_withdrawals WHERE id = NEW.id OR handover_id = NEW.handover_id)
BEGIN SELECT RAISE(ABORT, 'handover_withdrawals only append'); END;
CREATE TRIGGER taken_over_items_no_update BEFORE UPDATE ON taken_over_items BEGIN SELECT RAISE(ABORT, 'taken_over_items only append'); END;
CREATE TRIGGER taken_over_items_no_delete BEFORE DELETE ON taken_over_items BEGIN SELECT RAISE(ABORT, 'taken_over_items only append'); END;
CREATE TRIGGER taken_over_items_no_replace BEFORE INSERT ON taken_over_items
WHEN EXISTS (SELECT 1 FROM taken_over_items WHERE attendance_id = NEW.attendance_id AND key = NEW.key)
BEGIN SELECT RAISE(ABORT, 'taken_over_items only append'); END;
