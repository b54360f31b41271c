-- A reference of a depot's own file stands for one fault, and is found again at once. A database made between two editions
-- of the program may have both already.

CREATE UNIQUE INDEX IF NOT EXISTS imported_faults_reference ON imported_faults (reference) WHERE reference IS NOT NULL;

DROP TRIGGER imported_faults_no_replace;
CREATE TRIGGER imported_faults_no_replace BEFORE INSERT ON imported_faults
WHEN EXISTS (SELECT 1 FROM imported_faults WHERE fault_id = NEW.fault_id OR reference = NEW.reference)
BEGIN SELECT RAISE(ABORT, 'imported_faults only append'); END;
