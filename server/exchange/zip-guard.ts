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
 * is no workbook, one that unpacks to too much or reaches too far, and one with macros or entities. Of cells with
 * formulas only what they last came to is left; `formulas`: how many there were.
 */
export function guardWorkbook(bytes: Uint8Array): { bytes: Buffer; formulas: number } {
  let left = limits.unpackedBytes
  const bounds = new SheetBounds()
  const files = new Map<string, Buffer>()
  let formulas = 0
  for (const entry of entriesOf(Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength))) {
    if (/vbaProject|\.bin$/i.test(entry.name))
      throw new Refused('The workbook holds macros or objects. Save it as a plain .xlsx workbook.')
    let content = unpack(entry, left)
    left -= content.length
    if (/\.(xml|rels)$/i.test(entry.name) && lookAt(entry.name, content, bounds)) {
      const sheet = withoutFormulas(content)
      content = sheet.content
      formulas += sheet.formulas
    }
    if (files.has(entry.name)) throw new Refused(`The workbook holds ${entry.name.slice(0, 80)} twice.`)
    files.set(entry.name, content)
  }
  return { bytes: Buffer.from(zipSync(Object.fromEntries(files), { level: 0 })), formulas }
}

/** True for a sheet. Throws Refused for what must not be there. */
function lookAt(name: string, content: Buffer, bounds: SheetBounds): boolean {
  if (content.includes('<!DOCTYPE') || content.includes('<!ENTITY'))
    throw new Refused('The workbook holds entities, which no spreadsheet program writes.')
  // A sheet may lie under any name.
  const isSheet = content.includes('sheetData')
  const { sheets, texts, others } = limits.tags
  boundTags(name, content, isSheet ? sheets : /sharedStrings/i.test(name) ? texts : others)
  if (!isSheet) return false
  bounds.add(content.toString('latin1'))
  return true
}

/** A formula, and whether its value follows: ECMA-376 part 1, 18.3.1.40 (value from memory). */
const formula = /<((?:[\w.-]+:)?)f(?:\s[^<>]*)?(?:\/>|>[^<]*<\/\1f\s*>)\s*(<\1v[\s/>])?/g

/** A cell that holds an error, such as #REF!: our reader would give it as empty. */
const errorCell = /(<(?:[\w.-]+:)?c\s[^<>]*?\bt=)(["'])e\2/g

/** Throws Refused for a formula whose value was never stored. */
function withoutFormulas(sheet: Buffer): { content: Buffer; formulas: number } {
  const xml = sheet.toString('latin1')
  let formulas = 0
  const errors = xml.replace(errorCell, '$1"str"')
  const stripped = errors.replace(formula, (_, _prefix: string, value: string | undefined, at: number) => {
    if (value === undefined) throw new Refused(neverWorkedOut(errors, at))
    formulas += 1
    return value
  })
  return { content: stripped !== xml ? Buffer.from(stripped, 'latin1') : sheet, formulas }
}

function neverWorkedOut(xml: string, at: number): string {
  const cell = /\br="([A-Z]{1,3}\d{1,7})"[^<>]*>\s*$/.exec(xml.slice(Math.max(0, at - 200), at))?.[1]
  return `Cell ${cell ?? 'with a formula'} was never worked out. Open the workbook in a spreadsheet program, save it there, and send it again.`
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
