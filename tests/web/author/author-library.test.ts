import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { NoKnowledgeError, openLibrary } from '../../../server/library.ts'
import { openDatabase } from '../../../server/storage/engine/database.ts'
import { migrate } from '../../../server/storage/engine/migrate.ts'
import { readMigrations } from '../../../server/storage/engine/migration-files.ts'
import { createStorage, type Storage } from '../../../server/storage/storage.ts'

// The folder and the program both change the knowledge: neither may ever lose what the other wrote.

const root = path.join(import.meta.dirname, '../../..')
let dir: string
let storage: Storage

beforeEach(() => {
  dir = mkdtempSync(path.join(tmpdir(), 'fourfoot-folder-'))
  cpSync(path.join(root, 'tests/support/knowledge'), dir, { recursive: true })
  let now = Date.parse('2026-11-02T01:00:00Z')
  const db = openDatabase(':memory:')
  const clock = () => {
    now += 1000
    return new Date(now)
  }
  migrate(db, readMigrations(path.join(root, 'migrations')), clock().toISOString())
  storage = createStorage(db, clock)
  for (const id of ['odo', 'rue']) storage.people.create({ id, name: id, role: 'author', pinHash: 'x' })
})
afterEach(() => rmSync(dir, { recursive: true }))

const tree = 'trees/dead.md'
const kit = 'equipment/small-transmitter.md'
const onDisk = (file: string) => readFileSync(path.join(dir, file), 'utf8')
const change = (file: string, words: string) =>
  writeFileSync(path.join(dir, file), `${onDisk(file)}\n${words}\n`)
const start = () => openLibrary(storage, dir)

/** Publishes a changed file in the program, as an approved proposal would. */
function publish(
  library: ReturnType<typeof start>,
  file: string,
  change: (text: string) => string,
  id = 'one',
) {
  const files = library
    .files(library.current().id)
    .map(one =>
      one.path === file ? { path: file, text: change(one.text) } : { path: one.path, text: one.text },
    )
  const draft = { path: file, baseEditionId: library.current().id, by: 'odo', text: '' }
  storage.drafts.begin({ ...draft, id: `draft ${id}`, textId: `text ${id}` })
  const proposal = { baseEditionId: library.current().id, note: 'mended', by: 'odo', writers: [] }
  storage.proposals.create({ ...proposal, id, files: [{ path: file, draftId: `draft ${id}`, text: '' }] })
  storage.drafts.end(`draft ${id}`, 'published')
  return library.publish(files, library.current().id, { id, by: 'odo', note: 'mended', proposalId: id })
}
const told = (library: ReturnType<typeof start>) =>
  library.folder().differences.map(({ path, how }) => [path, how])
const words = (library: ReturnType<typeof start>, file: string) =>
  library.files(library.current().id).find(one => one.path === file)?.text ?? ''

describe('the folder at start', () => {
  it('is taken in once, and again only when it has changed', () => {
    const first = start().current()
    expect(start().current()).toEqual(first)
    expect(storage.publications.list()).toHaveLength(1)
    change(tree, 'More words at the end.')
    const next = start()
    expect(next.current().id).not.toBe(first.id)
    expect(storage.publications.list().map(({ how }) => how)).toEqual(['folder', 'folder'])
  })

  it('with errors leaves the edition in use, and says why', () => {
    const first = start().current()
    change(tree, '## A check that leads nowhere')
    const library = start()
    expect(library.current().id).toBe(first.id)
    expect(library.problems().some(({ severity }) => severity === 'error')).toBe(true)
  })

  it('with errors and nothing in use stops the start', () => {
    change(tree, '## A check that leads nowhere')
    expect(start).toThrow(NoKnowledgeError)
  })

  it('leaves an edition published in the program in use until the folder itself changes', () => {
    const library = start()
    const published = publish(library, tree, text => `${text}\nFrom the program.\n`)
    expect(library.current().id).toBe(published.id)
    expect(start().current().id).toBe(published.id)
    expect(told(start())).toEqual([[tree, 'changed in the program']])
  })

  it('is joined with what was published meanwhile, file by file', () => {
    publish(start(), tree, text => `${text}\nFrom the program.\n`)
    change(kit, 'From the disk.')
    const library = start()
    expect(words(library, tree)).toContain('From the program.')
    expect(words(library, kit)).toContain('From the disk.')
    expect(storage.publications.newest()?.how).toBe('folder')
    expect(start().current().id).toBe(library.current().id)
    expect(storage.publications.list()).toHaveLength(3)
  })

  it('changed in the same file as the program is told and taken nowhere', () => {
    const published = publish(start(), tree, text => `${text}\nFrom the program.\n`)
    change(tree, 'From the disk.')
    change(kit, 'From the disk too.')
    const library = start()
    expect(library.current().id).toBe(published.id)
    expect(library.problems()[0]).toMatchObject({ code: 'changed-twice', source: { path: tree } })
    expect(told(library)).toEqual([
      [kit, 'changed on disk'],
      [tree, 'changed in both'],
    ])
  })

  it('is no conflict once both sides say the same', () => {
    publish(start(), tree, text => `${text}\nThe same words.\n`)
    change(tree, 'The same words.')
    const library = start()
    expect(library.problems().filter(({ severity }) => severity === 'error')).toEqual([])
    expect(told(library)).toEqual([])
  })

  it('that is gone after an edition was published leaves that edition in use', () => {
    const first = start().current()
    expect(openLibrary(storage, path.join(dir, 'nowhere')).current().id).toBe(first.id)
  })
})

describe('publishing', () => {
  it('is refused over an edition that is no longer in use', () => {
    const library = start()
    const before = library.current().id
    publish(library, tree, text => `${text}\nOne.\n`)
    const files = library.files(before)
    expect(() =>
      library.publish(files, before, { id: 'x', by: 'odo', note: 'n', proposalId: 'one' }),
    ).toThrow(/Another edition came into use/)
  })

  it('is refused with errors, and leaves nothing behind', () => {
    const library = start()
    const before = library.current().id
    expect(() => publish(library, tree, text => `${text}\n## Nowhere\n`)).toThrow(/has errors/)
    expect(library.current().id).toBe(before)
    expect(storage.publications.list()).toHaveLength(1)
  })

  it('can be withdrawn at once, step by step, and never to what was withdrawn', () => {
    const library = start()
    const first = library.current().id
    const second = publish(library, tree, text => `${text}\nTwo.\n`, 'two').id
    const third = publish(library, tree, text => `${text}\nThree.\n`, 'three').id
    const back = (id: string) => library.withdraw(library.current().id, { id, by: 'rue', note: 'wrong' }).id
    expect(third).not.toBe(second)
    expect(back('w1')).toBe(second)
    expect(back('w2')).toBe(first)
    expect(() => back('w3')).toThrow(/no earlier edition/)
    expect(start().current().id).toBe(first)
  })
})
