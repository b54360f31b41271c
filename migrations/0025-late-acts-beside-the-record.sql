-- A late act is taken into the record as the tablet knew it. `beside`: what had happened meanwhile that the tablet did not
-- know of; null when nothing had. `changes`: what the act changes, a sentence a line; null when nothing.
ALTER TABLE late_acts ADD COLUMN beside TEXT;
ALTER TABLE late_acts ADD COLUMN changes TEXT;
CREATE INDEX late_acts_told ON late_acts (arrived_at) WHERE apart IS NOT NULL OR beside IS NOT NULL;

-- A signature stands for what was signed. `unseen`: ids of rows that were on record by then and not on the tablet, so that
-- they are not part of it; null when there were none.
ALTER TABLE signatures ADD COLUMN unseen TEXT CHECK (unseen IS NULL OR json_valid(unseen));
