-- Each form that was recorded, by the id its page was made with. The same form sent again is answered as before; other
-- words under the same id are a conflict that is shown. `fields`: as sent, a JSON object, without PINs and passwords;
-- null once it is too old to be sent again.
CREATE TABLE sent_forms (
  id TEXT NOT NULL PRIMARY KEY,
  digest TEXT NOT NULL CHECK (length(digest) = 64),
  fields TEXT CHECK (json_valid(fields)),
  next TEXT NOT NULL,
  at TEXT NOT NULL
) STRICT, WITHOUT ROWID;
CREATE INDEX sent_forms_by_time ON sent_forms (at) WHERE fields IS NOT NULL;
