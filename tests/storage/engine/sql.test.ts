import { describe, expect, it } from 'vitest'
import { type Connection, nextSeq, scalar, sql, tuples } from '../../../server/storage/engine/sql.ts'

/** The text that a statement is prepared with. */
function prepared(query: (db: Connection) => unknown): string {
  let text = ''
  const statement = { pluck: () => statement, raw: () => statement }
  const db = {
    prepare(given: string) {
      text = given
      return statement
    },
  }
  query(db as unknown as Connection)
  return text
}

describe('a statement', () => {
  it('compares parameters so that no value makes SQLite plan it anew', () => {
    expect(prepared(sql('SELECT 1 FROM a WHERE b = ? AND c >= @from AND d <@to LIMIT @most'))).toBe(
      'SELECT 1 FROM a WHERE b = +? AND c >= +@from AND d <+@to LIMIT @most',
    )
    expect(prepared(scalar('SELECT 1 FROM a WHERE b=?'))).toContain('b=+?')
    expect(prepared(tuples('SELECT 1 FROM a WHERE b = ?'))).toContain('b = +?')
  })

  it('so takes the next number too', () => {
    expect(prepared(sql(`INSERT INTO a VALUES (@id, ${nextSeq('a', 'b', '@b')})`))).toContain(
      'WHERE b = +@b)',
    )
  })
})
