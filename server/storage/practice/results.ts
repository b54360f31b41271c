// What became of exercises, in a file of their own that may be thrown away: nothing of it is in the depot's database.

import { type Connection, sql } from '../engine/sql.ts'

export interface PracticeResult {
  id: string
  personId: string
  /** UTC, ISO 8601. */
  endedAt: string
  /** `equipment/cause` */
  cause: string
  tree: string
  /** Spent at the checks, as the tree has them. */
  minutes: number
  found: boolean
  /** What the afterwards page tells, as JSON. */
  content: string
}

/** A cause that takes long to find; only told of at least `people` different people together. */
export interface SlowCause {
  cause: string
  people: number
  exercises: number
  found: number
  /** Mean over its exercises. */
  minutes: number
}

export interface PracticeResults {
  add(result: PracticeResult): void
  /** Null when there is none of this person's. */
  find(id: string, personId: string): PracticeResult | null
  /** Newest first. */
  listOf(personId: string, limit: number): PracticeResult[]
  /** Everything of this person's is gone. */
  forget(personId: string): void
  /** Slowest first; only causes that at least `people` people have had hidden from them. */
  slowCauses(people: number): SlowCause[]
}

const TABLE = `
  CREATE TABLE IF NOT EXISTS practice_results (
    id TEXT PRIMARY KEY, person_id TEXT NOT NULL, ended_at TEXT NOT NULL, cause TEXT NOT NULL, tree TEXT NOT NULL,
    minutes REAL NOT NULL, found INTEGER NOT NULL CHECK (found IN (0, 1)), content TEXT NOT NULL
  ) STRICT`
const COLUMNS = 'id, person_id AS personId, ended_at AS endedAt, cause, tree, minutes, found, content'

type Row = Omit<PracticeResult, 'found'> & { found: number }

const insert = sql<object>(`
  INSERT OR IGNORE INTO practice_results (id, person_id, ended_at, cause, tree, minutes, found, content)
  VALUES (@id, @personId, @endedAt, @cause, @tree, @minutes, @found, @content)`)
const one = sql<[string, string], Row>(
  `SELECT ${COLUMNS} FROM practice_results WHERE id = ? AND person_id = ?`,
)
const ofPerson = sql<[string, number], Row>(
  `SELECT ${COLUMNS} FROM practice_results WHERE person_id = ? ORDER BY ended_at DESC, id LIMIT ?`,
)
const remove = sql<[string]>('DELETE FROM practice_results WHERE person_id = ?')
const slow = sql<[number], SlowCause>(`
  SELECT cause, count(DISTINCT person_id) AS people, count(*) AS exercises, sum(found) AS found, avg(minutes) AS minutes
  FROM practice_results GROUP BY cause HAVING count(DISTINCT person_id) >= ? ORDER BY avg(minutes) DESC, cause`)

/** Makes the table where it is missing. */
export function createPracticeResults(db: Connection): PracticeResults {
  db.exec(TABLE)
  return {
    add: result => void insert(db).run({ ...result, found: result.found ? 1 : 0 }),
    find: (id, personId) => resultOf(one(db).get(id, personId)),
    listOf: (personId, limit) =>
      ofPerson(db)
        .all(personId, limit)
        .flatMap(row => resultOf(row) ?? []),
    forget: personId => void remove(db).run(personId),
    slowCauses: people => slow(db).all(people),
  }
}

function resultOf(row: Row | undefined): PracticeResult | null {
  return row ? { ...row, found: row.found === 1 } : null
}
