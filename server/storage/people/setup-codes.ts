import type { Writer } from '../engine/writer.ts'

export interface SetupCodes {
  create(codeHash: string): void
  /** Given out and not used. */
  isOpen(codeHash: string): boolean
  /** false when it was used before or never given out. */
  use(codeHash: string): boolean
}

export function createSetupCodes({ db, write, moment }: Writer): SetupCodes {
  const insert = db.prepare('INSERT INTO setup_codes (code_hash, made_at) VALUES (@codeHash, @at)')
  const open = db.prepare<[string]>('SELECT 1 FROM setup_codes WHERE code_hash = ? AND used_at IS NULL')
  const use = db.prepare(
    'UPDATE setup_codes SET used_at = @at WHERE code_hash = @codeHash AND used_at IS NULL',
  )

  return {
    create: codeHash => void write(() => insert.run({ codeHash, at: moment() })),
    isOpen: codeHash => open.get(codeHash) !== undefined,
    use: codeHash => write(() => use.run({ codeHash, at: moment() })).changes === 1,
  }
}
