import type { Database } from '../../server/storage/engine/database.ts'

/** From now on a finding with the note “breaks” is written, and the commit that it is part of fails. */
export function breakingCommits(db: Database): void {
  db.exec(`
    CREATE TABLE promises (finding TEXT REFERENCES findings (id) DEFERRABLE INITIALLY DEFERRED);
    CREATE TEMP TRIGGER breaks AFTER INSERT ON main.findings WHEN NEW.note = 'breaks'
      BEGIN INSERT INTO promises VALUES ('nowhere'); END;`)
}
