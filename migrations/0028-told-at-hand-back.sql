-- Who was told that the equipment is back, when, and what they said; null where nothing was noted, so that signatures given
-- before still fit. JSON: { who, at (UTC ISO), said }.
ALTER TABLE closures ADD COLUMN told TEXT CHECK (told IS NULL OR json_valid(told));
