import { spawnSync } from 'node:child_process'
import { createHash } from 'node:crypto'
import {
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  truncateSync,
  writeFileSync,
} from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { afterEach, beforeEach, expect, it } from 'vitest'
import { photoFolder, photoPath, savePhotoFile } from '../../../server/storage/safekeeping/photo-files.ts'

const picture = Buffer.alloc(40_000, 'a picture of the case ')
const sha256 = createHash('sha256').update(picture).digest('hex')
let dir: string
beforeEach(() => {
  dir = mkdtempSync(path.join(tmpdir(), 'fourfoot-photo-files-'))
})
afterEach(() => rmSync(dir, { recursive: true }))

const filesIn = (folder: string) =>
  readdirSync(folder, { recursive: true, withFileTypes: true })
    .filter(entry => entry.isFile())
    .map(({ name }) => name)

it('leaves nothing half written where the disk takes only a part, and is mended by sending it again', () => {
  const source = path.join(dir, 'picture')
  writeFileSync(source, picture)
  const files = path.resolve('server/storage/safekeeping/photo-files.ts')
  const script = path.join(dir, 'save.mjs')
  writeFileSync(
    script,
    `import { readFileSync } from 'node:fs'
     const { savePhotoFile } = await import(${JSON.stringify(files)})
     savePhotoFile(${JSON.stringify(dir)}, readFileSync(${JSON.stringify(source)}))`,
  )
  // The system takes 16 blocks of a file and no more: the first write is cut short, the next refused, as on a full disk.
  const command = `ulimit -f 16; exec "${process.execPath}" "${script}"`
  const saved = spawnSync('sh', ['-c', command], { encoding: 'utf8' })
  expect([saved.status, saved.stderr]).toEqual([1, expect.stringContaining('EFBIG')])
  expect(filesIn(photoFolder(dir))).toEqual([])
  expect(savePhotoFile(dir, picture)).toBe(sha256)
  expect(readFileSync(photoPath(dir, sha256)).equals(picture)).toBe(true)
})

it('replaces a file that was cut short, or holds something else of the same length', () => {
  savePhotoFile(dir, picture)
  const place = photoPath(dir, sha256)
  truncateSync(place, 8_192)
  savePhotoFile(dir, picture)
  expect(readFileSync(place).equals(picture)).toBe(true)
  writeFileSync(place, Buffer.alloc(picture.length))
  savePhotoFile(dir, picture)
  expect(readFileSync(place).equals(picture)).toBe(true)
  expect(filesIn(photoFolder(dir))).toEqual([sha256])
})

it('says so when the folder can’t be made', () => {
  writeFileSync(photoFolder(dir), 'a file where the folder should be')
  expect(() => savePhotoFile(dir, picture)).toThrow(/EEXIST|ENOTDIR/)
  rmSync(photoFolder(dir))
  mkdirSync(photoFolder(dir))
  expect(savePhotoFile(dir, picture)).toBe(sha256)
})
