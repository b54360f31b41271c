import { mkdirSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { hashEdition, hashFile, readKnowledge } from '../../server/knowledge/load.ts'

let dir = ''

beforeEach(() => {
  dir = mkdtempSync(join(tmpdir(), 'knowledge-'))
  mkdirSync(join(dir, 'folder', 'trees'), { recursive: true })
  mkdirSync(join(dir, 'folder', 'equipment'))
})

afterEach(() => rmSync(dir, { recursive: true, force: true }))

const put = (path: string, text: string | Uint8Array) => writeFileSync(join(dir, path), text)
const codes = () => readKnowledge(join(dir, 'folder')).problems.map(({ code, source }) => [code, source.path])

describe('the knowledge folder', () => {
  it('is read in the order of its paths, without README.md and other files', () => {
    put('folder/trees/b.md', '# B')
    put('folder/trees/a.md', '# A')
    put('folder/equipment/x.md', '# X')
    put('folder/README.md', '# How')
    put('folder/trees/README.md', '# How')
    put('folder/trees/notes.txt', 'no')
    const { files, problems } = readKnowledge(join(dir, 'folder'))
    expect(files.map(file => file.path)).toEqual(['equipment/x.md', 'trees/a.md', 'trees/b.md'])
    expect(problems).toEqual([])
  })

  it('refuses a file that is not UTF-8, empty, or too large', () => {
    put('folder/trees/latin.md', Uint8Array.of(0x23, 0x20, 0xe9))
    put('folder/trees/blank.md', ' \n')
    put('folder/trees/huge.md', 'x'.repeat(1_000_001))
    expect(codes()).toEqual([
      ['file-empty', 'trees/blank.md'],
      ['file-too-large', 'trees/huge.md'],
      ['file-not-utf8', 'trees/latin.md'],
    ])
    expect(readKnowledge(join(dir, 'folder')).files).toEqual([])
  })

  it('refuses a link that leads out of the folder, and follows one that stays in it', () => {
    put('secret.md', '# Secret')
    put('folder/trees/a.md', '# A')
    symlinkSync(join(dir, 'secret.md'), join(dir, 'folder/trees/out.md'))
    symlinkSync(join(dir, 'nowhere.md'), join(dir, 'folder/trees/lost.md'))
    symlinkSync(join(dir, 'folder/trees/a.md'), join(dir, 'folder/trees/in.md'))
    expect(codes()).toEqual([
      ['file-outside', 'trees/lost.md'],
      ['file-outside', 'trees/out.md'],
    ])
    expect(readKnowledge(join(dir, 'folder')).files.map(file => file.path)).toEqual([
      'trees/a.md',
      'trees/in.md',
    ])
  })

  it('refuses a whole folder that is a link out, and a folder that is not there', () => {
    mkdirSync(join(dir, 'elsewhere'))
    put('elsewhere/a.md', '# A')
    rmSync(join(dir, 'folder/trees'), { recursive: true })
    symlinkSync(join(dir, 'elsewhere'), join(dir, 'folder/trees'))
    expect(codes()).toEqual([['file-outside', 'trees']])
    expect(readKnowledge(join(dir, 'none')).problems.map(problem => problem.code)).toEqual(['file-outside'])
  })
})

describe('the id of an edition', () => {
  const files = [
    { path: 'trees/a.md', text: '# A' },
    { path: 'trees/b.md', text: '# B' },
  ]

  it('is the same whatever the order of the files, and another for another text or name', () => {
    const id = hashEdition(files)
    expect(id).toMatch(/^[0-9a-f]{64}$/)
    expect(hashEdition([...files].reverse())).toBe(id)
    expect(hashEdition([{ path: 'trees/a.md', text: '# A ' }, ...files.slice(1)])).not.toBe(id)
    expect(hashEdition([{ path: 'trees/c.md', text: '# A' }, ...files.slice(1)])).not.toBe(id)
  })

  it('rests on SHA-256', () => {
    // The standard's own example: FIPS 180-4, SHA-256 of "abc" (value from memory).
    expect(hashFile('abc')).toBe('ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad')
  })
})
