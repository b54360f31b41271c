import { sql } from '../engine/sql.ts'
import type { Writer } from '../engine/writer.ts'

export interface SetupCodes {
  create(codeHash: string): void
  /** Given out and not used. */
  isOpen(codeHash: string): boolean
  /** false when it was used before or never given out. */
  use(codeHash: string): boolean
}

const insert = sql('INSERT INTO setup_codes (code_hash, made_at) VALUES (@codeHash, @at)')
const open = sql<[string]>('SELECT 1 FROM setup_codes WHERE code_hash = ? AND used_at IS NULL')
const use = sql('UPDATE setup_codes SET used_at = @at WHERE code_hash = @codeHash AND used_at IS NULL')

export function createSetupCodes({ db, write, moment }: Writer): SetupCodes {
  return {
    create: codeHash => void write(() => insert(db).run({ codeHash, at: moment() })),
    isOpen: codeHash => open(db).get(codeHash) !== undefined,
    use: codeHash => write(() => use(db).run({ codeHash, at: moment() })).changes === 1,
  }
}
