// Workbooks by hand, as ECMA-376 part 1 (read in source) lays them out, in a zip archive: good ones and hostile ones.

import { crc32, deflateRawSync } from 'node:zlib'

const declaration = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>'
const main = 'http://schemas.openxmlformats.org/spreadsheetml/2006/main'
const relations = 'http://schemas.openxmlformats.org/package/2006/relationships'
const office = 'http://schemas.openxmlformats.org/officeDocument/2006/relationships'

/** A text, a number, a date as { serial } (days since 1899-12-30), or the XML of a cell's inside. */
export type Given = string | number | { serial: number } | { formula: string } | null

export function workbook(rows: Given[][], more: Record<string, string> = {}): Buffer {
  const cell = (value: Given, column: number, row: number): string => {
    const at = `${String.fromCharCode(65 + column)}${row + 1}`
    if (value === null) return ''
    if (typeof value === 'number') return `<c r="${at}"><v>${value}</v></c>`
    if (typeof value === 'string')
      return `<c r="${at}" t="inlineStr"><is><t xml:space="preserve">${escaped(value)}</t></is></c>`
    if ('serial' in value) return `<c r="${at}" s="1"><v>${value.serial}</v></c>`
    return `<c r="${at}"><f>${escaped(value.formula)}</f><v>1</v></c>`
  }
  const body = rows.map(
    (cells, r) => `<row r="${r + 1}">${cells.map((value, c) => cell(value, c, r)).join('')}</row>`,
  )
  return zip({
    '[Content_Types].xml': `${declaration}<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="xml" ContentType="application/xml"/></Types>`,
    '_rels/.rels': `${declaration}<Relationships xmlns="${relations}"><Relationship Id="rId1" Type="${office}/officeDocument" Target="xl/workbook.xml"/></Relationships>`,
    'xl/workbook.xml': `${declaration}<workbook xmlns="${main}" xmlns:r="${office}"><sheets><sheet name="Depot" sheetId="1" r:id="rId1"/></sheets></workbook>`,
    'xl/_rels/workbook.xml.rels': `${declaration}<Relationships xmlns="${relations}"><Relationship Id="rId1" Type="${office}/worksheet" Target="worksheets/sheet1.xml"/><Relationship Id="rId2" Type="${office}/styles" Target="styles.xml"/></Relationships>`,
    'xl/styles.xml': `${declaration}<styleSheet xmlns="${main}"><cellXfs count="2"><xf numFmtId="0"/><xf numFmtId="22" applyNumberFormat="1"/></cellXfs></styleSheet>`,
    'xl/worksheets/sheet1.xml': `${declaration}<worksheet xmlns="${main}"><sheetData>${body.join('')}</sheetData></worksheet>`,
    ...more,
  })
}

/** The files of `hidden` lie in the archive behind those of `named`, whose directory does not name them. */
export function withHidden(named: Buffer, hidden: Buffer): Buffer {
  const [directory, others] = [directoryOf(named), directoryOf(hidden)]
  const files = hidden.subarray(0, others)
  const rest = Buffer.from(named.subarray(directory))
  rest.writeUInt32LE(directory + files.length, rest.length - 6)
  return Buffer.concat([named.subarray(0, directory), files, rest])
}

const directoryOf = (archive: Buffer) => archive.readUInt32LE(archive.length - 6)

/** A zip archive (PKWARE APPNOTE 6.3, read in source), every file deflated. `lie`: the size a file claims to unpack to. */
export function zip(files: Record<string, string | Buffer>, lie?: number): Buffer {
  const parts: Buffer[] = []
  const directory: Buffer[] = []
  let at = 0
  for (const [name, content] of Object.entries(files)) {
    const data = Buffer.from(content)
    const packed = deflateRawSync(data)
    const common = Buffer.alloc(26)
    common.writeUInt16LE(20, 0)
    common.writeUInt16LE(8, 4)
    common.writeUInt32LE(crc32(data), 10)
    common.writeUInt32LE(packed.length, 14)
    common.writeUInt32LE(lie ?? data.length, 18)
    common.writeUInt16LE(Buffer.byteLength(name), 22)
    const local = Buffer.concat([Buffer.from('PK\u0003\u0004', 'latin1'), common, Buffer.from(name), packed])
    const tail = Buffer.alloc(14)
    tail.writeUInt32LE(at, 10)
    directory.push(
      Buffer.concat([Buffer.from('PK\u0001\u0002\u0014\u0000', 'latin1'), common, tail, Buffer.from(name)]),
    )
    parts.push(local)
    at += local.length
  }
  const listed = Buffer.concat(directory)
  const end = Buffer.alloc(22)
  end.write('PK\u0005\u0006', 0, 'latin1')
  end.writeUInt16LE(directory.length, 8)
  end.writeUInt16LE(directory.length, 10)
  end.writeUInt32LE(listed.length, 12)
  end.writeUInt32LE(at, 16)
  return Buffer.concat([...parts, listed, end])
}

function escaped(text: string): string {
  return text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('"', '&quot;')
}
