import { sql } from '../engine/sql.ts'
import type { Writer } from '../engine/writer.ts'

export interface SetupCodes {
  /** A code for the first account, good while there is nobody. */
  create(codeHash: string): void
  /** A code made on the machine by somebody nobody else can let in; the trail says so. */
  createRescue(codeHash: string): void
  /** Given out and not used. */
  isOpen(codeHash: string): boolean
  /** Given out for a rescue, not used and no older than a day; any one when no hash is given. */
  isRescueOpen(codeHash?: string): boolean
  /** false when it was used before or never given out. Closes every other code too. */
  use(codeHash: string): boolean
}

/** The kind of entry in the trail when a code is made on the machine. */
export const rescueCodeMade = 'setup code made on the machine'

const insert = sql('INSERT INTO setup_codes (code_hash, made_at) VALUES (@codeHash, @at)')
const open = sql<[string]>('SELECT 1 FROM setup_codes WHERE code_hash = ? AND used_at IS NULL')
const openRescue = sql<object>(`
  SELECT 1 FROM setup_codes c
  WHERE c.used_at IS NULL AND c.made_at >= @since AND (@codeHash IS NULL OR c.code_hash = @codeHash) AND EXISTS
    (SELECT 1 FROM trail t WHERE t.subject = @subject AND t.key = c.code_hash AND t.what = 'happened')`)
const use = sql('UPDATE setup_codes SET used_at = @at WHERE code_hash = @codeHash AND used_at IS NULL')

const useOthers = sql('UPDATE setup_codes SET used_at = @at WHERE used_at IS NULL')

const DAY_MS = 86_400_000

export function createSetupCodes({ db, write, moment, trail }: Writer): SetupCodes {
  const create = (codeHash: string) => void write(() => insert(db).run({ codeHash, at: moment() }))
  return {
    create,
    createRescue: codeHash =>
      write(() => {
        create(codeHash)
        const event = { what: 'happened', subject: rescueCodeMade, key: codeHash } as const
        trail.note({ ...event, old: null, new: JSON.stringify({}), content: null })
      }),
    isOpen: codeHash => open(db).get(codeHash) !== undefined,
    isRescueOpen(codeHash) {
      const since = new Date(Date.parse(moment()) - DAY_MS).toISOString()
      return openRescue(db).get({ since, codeHash: codeHash ?? null, subject: rescueCodeMade }) !== undefined
    },
    use: codeHash =>
      write(() => {
        if (use(db).run({ codeHash, at: moment() }).changes !== 1) return false
        useOthers(db).run({ at: moment() })
        return true
      }),
  }
}
