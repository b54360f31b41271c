-- Tests after work that passed before a fault was signed off: what, by which kind of tester, and their name, as JSON.
-- Null when none was asked for, so that older signatures still hold.
ALTER TABLE closures ADD COLUMN tests_after_work TEXT CHECK (tests_after_work IS NULL OR json_valid(tests_after_work));
