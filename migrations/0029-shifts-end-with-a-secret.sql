-- `secrets_hash`: of the person's PIN and password as they were when the shift began; once they are others, the shift has
-- ended. Null for shifts from before this was kept.
ALTER TABLE shifts ADD COLUMN secrets_hash TEXT;
