-- How a reading was taken: `text` stays what was typed in the reading's field, `reading` is what was judged. What lies
-- between the two (leads subtracted, volts over amperes, the mean of several), what was confirmed before the tester went
-- on, and whether it was wet or dry, stands in `taken`; null where the reading stands as typed and nothing else was said.
ALTER TABLE findings ADD COLUMN taken TEXT CHECK (taken IS NULL OR (json_valid(taken) AND reading IS NOT NULL));
ALTER TABLE proofs ADD COLUMN taken TEXT CHECK (taken IS NULL OR (json_valid(taken) AND reading IS NOT NULL));

-- What blew a fuse that was replaced, and the load against its rating; null for other repairs, and for those on record
-- from before it was asked.
ALTER TABLE repairs ADD COLUMN fuse TEXT CHECK (fuse IS NULL OR (json_valid(fuse) AND action = 'fuse replaced'));
