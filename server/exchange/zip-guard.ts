// Looks a workbook over before it is read: what it unpacks to, and whether it holds what must not be there.
// Unpacking stops at the limit, whatever the file says of its own size. An archive can say two things of one
// file, in its directory and beside the file itself, and can hold files that its directory does not name; so
// what was looked at is packed anew, and nothing else is read.

import { inflateRawSync } from 'node:zlib'
import { zipSync } from 'fflate'
import { boundTags, SheetBounds } from './sheet-bounds.ts'
import { limits, Refused } from './table.ts'

interface Entry {
  name: string
  method: number
  packed: Uint8Array
}

/**
 * The same workbook with the files its directory names and no others, each unpacked. Throws Refused for what
 * is no workbook, one that unpacks to too much or reaches too far, and one with formulas, macros or entities.
 */
export function guardWorkbook(bytes: Uint8Array): Buffer {
  let left = limits.unpackedBytes
  const bounds = new SheetBounds()
  const files = new Map<string, Buffer>()
  for (const entry of entriesOf(Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength))) {
    if (/vbaProject|\.bin$/i.test(entry.name))
      throw new Refused('The workbook holds macros or objects. Save it as a plain .xlsx workbook.')
    const content = unpack(entry, left)
    left -= content.length
    if (/\.(xml|rels)$/i.test(entry.name)) lookAt(entry.name, content, bounds)
    if (files.has(entry.name)) throw new Refused(`The workbook holds ${entry.name.slice(0, 80)} twice.`)
    files.set(entry.name, content)
  }
  return Buffer.from(zipSync(Object.fromEntries(files), { level: 0 }))
}

function lookAt(name: string, content: Buffer, bounds: SheetBounds): void {
  if (content.includes('<!DOCTYPE') || content.includes('<!ENTITY'))
    throw new Refused('The workbook holds entities, which no spreadsheet program writes.')
  // A sheet may lie under any name.
  const isSheet = content.includes('sheetData')
  const { sheets, texts, others } = limits.tags
  boundTags(name, content, isSheet ? sheets : /sharedStrings/i.test(name) ? texts : others)
  if (!isSheet) return
  const xml = content.toString('latin1')
  bounds.add(xml)
  const formula = /<c\b[^>]*\br="([A-Z]+\d+)"[^>]*>\s*<f[\s/>]/.exec(xml)
  if (formula)
    throw new Refused(
      `Cell ${formula[1]} holds a formula. Copy the sheet and paste it as values only, and save that.`,
    )
}

function unpack({ name, method, packed }: Entry, left: number): Buffer {
  if (method === 0 && packed.length <= left) return Buffer.from(packed)
  if (method !== 8 && method !== 0) throw new Refused('The workbook is packed in a way this cannot read.')
  try {
    return inflateRawSync(packed, { maxOutputLength: Math.max(1, left) })
  } catch (error) {
    const code = error instanceof Error && 'code' in error ? error.code : ''
    if (code === 'ERR_BUFFER_TOO_LARGE')
      throw new Refused(`The workbook unpacks to more than ${limits.unpackedBytes / 1e6} MB.`)
    throw new Refused(`The workbook is damaged at ${name.slice(0, 80)}.`)
  }
}

/** The files of a zip archive, by its directory at the end. */
function entriesOf(bytes: Buffer): Entry[] {
  const end = bytes.lastIndexOf(Buffer.from('PK\u0005\u0006', 'latin1'))
  if (end < 0 || end + 22 > bytes.length) throw new Refused(notAWorkbook)
  const count = bytes.readUInt16LE(end + 10)
  if (count > limits.files) throw new Refused(`The workbook holds ${count} files; ${limits.files} at most.`)
  const entries: Entry[] = []
  let at = bytes.readUInt32LE(end + 16)
  for (let n = 0; n < count; n += 1) {
    if (at + 46 > bytes.length || bytes.readUInt32LE(at) !== 0x02014b50) throw new Refused(notAWorkbook)
    const [nameLength, extra, comment] = [28, 30, 32].map(offset => bytes.readUInt16LE(at + offset)) as [
      number,
      number,
      number,
    ]
    if (bytes.readUInt16LE(at + 8) & 1) throw new Refused('The workbook is locked with a password.')
    entries.push(entryAt(bytes, at, bytes.toString('utf8', at + 46, at + 46 + nameLength)))
    at += 46 + nameLength + extra + comment
  }
  return entries
}

function entryAt(bytes: Buffer, at: number, name: string): Entry {
  const size = bytes.readUInt32LE(at + 20)
  const local = bytes.readUInt32LE(at + 42)
  if (local + 30 > bytes.length || bytes.readUInt32LE(local) !== 0x04034b50) throw new Refused(notAWorkbook)
  const start = local + 30 + bytes.readUInt16LE(local + 26) + bytes.readUInt16LE(local + 28)
  if (start + size > bytes.length) throw new Refused('The workbook is cut short.')
  return { name, method: bytes.readUInt16LE(at + 10), packed: bytes.subarray(start, start + size) }
}

const notAWorkbook = 'This is no .xlsx workbook, or it is damaged. Save it again, or save the sheet as CSV.'
