import { describe, expect, it } from 'vitest'
import { readApart } from '../../server/exchange/read-apart.ts'
import { readTable } from '../../server/exchange/read-table.ts'
import { limits, Refused, textOf } from '../../server/exchange/table.ts'
import { processorTime } from '../support/processor-time.ts'
import { readDamaged } from './damaged.ts'
import { withHidden, workbook, zip } from './workbook.ts'

// Files as depots really send them. Byte marks and UTF-16: the Unicode Standard 15, section 2.13 (read in source);
// Windows-1252: the Encoding Standard's index (read in source). CSV: RFC 4180 (read in source). Dates of a workbook count
// days from 1899-12-30: ECMA-376 part 1, 18.17.4 (read in source).

const bytes = (text: string, encoding: BufferEncoding = 'utf8') => Buffer.from(text, encoding)
const cells = async (file: Uint8Array) => {
  const { header, rows } = await readTable(file)
  return [header, ...rows.map(row => row.cells.map(textOf))]
}
const refusal = async (file: Uint8Array) =>
  readTable(file).then(
    () => 'read',
    error => (error instanceof Refused ? error.message : String(error)),
  )

describe('letters', () => {
  const text = 'Site;Way in\r\nÄckerhalt;Gate – 3 °\r\n'
  it.each([
    ['UTF-8', bytes(text), 'utf-8'],
    ['UTF-8 with its mark', Buffer.concat([Buffer.from([0xef, 0xbb, 0xbf]), bytes(text)]), 'utf-8'],
    ['UTF-16 with its mark', Buffer.concat([Buffer.from([0xff, 0xfe]), bytes(text, 'utf16le')]), 'utf-16le'],
    ['UTF-16 without', bytes(text, 'utf16le'), 'utf-16le'],
    [
      'UTF-16, high byte first',
      Buffer.concat([Buffer.from([0xff, 0xfe]), bytes(text, 'utf16le')]).swap16(),
      'utf-16be',
    ],
    ['Windows-1252', Buffer.from(text.replace('–', '\u0096'), 'latin1'), 'windows-1252'],
  ] as const)('are read from %s', async (_, file, encoding) => {
    const table = await readTable(file)
    expect(table.encoding).toBe(encoding)
    expect([table.header, table.rows[0]?.cells]).toEqual([
      ['Site', 'Way in'],
      ['Äckerhalt', 'Gate – 3 °'],
    ])
  })
})

describe('CSV', () => {
  it.each([',', ';', '\t', '|'])('is cut at “%s”, whatever else stands in its cells', async delimiter => {
    const file = bytes(`a${delimiter}b\n"x, y; z"${delimiter}"1"\n3${delimiter}4\n`)
    expect(await cells(file)).toEqual([
      ['a', 'b'],
      ['x, y; z', '1'],
      ['3', '4'],
    ])
  })

  it('may name its delimiter in a line of its own', async () => {
    const { rows, delimiter } = await readTable(bytes('sep=|\r\na|b;c\r\n1|2;3\r\n'))
    expect([delimiter, rows]).toEqual(['|', [{ line: 3, cells: ['1', '2;3'] }]])
  })

  it('keeps leading zeros, line breaks and quotes inside cells, and names the line a row starts on', async () => {
    const { rows } = await readTable(
      bytes('no,words\r\n007,"first\r\nsecond, ""quoted"""\r\n008,last\r\n\r\n009,\r\n'),
    )
    expect(rows).toEqual([
      { line: 2, cells: ['007', 'first\r\nsecond, "quoted"'] },
      { line: 4, cells: ['008', 'last'] },
      { line: 6, cells: ['009', ''] },
    ])
  })

  it('may have rows shorter and longer than the first', async () => {
    expect(await cells(bytes('a,b\n1\n1,2,3\n'))).toEqual([['a', 'b'], ['1'], ['1', '2', '3']])
  })

  it('is refused with a quote that never closes, with nothing in it, and with rows beyond the limit', async () => {
    expect(await refusal(bytes('a,b\n"1,2\n3,4\n'))).toContain('never closed')
    expect(await refusal(bytes(''))).toContain('empty')
    expect(await refusal(bytes('a,b\n'))).toContain('nothing below')
    expect(await refusal(bytes(`a\n${'1\n'.repeat(limits.rows + 1)}`))).toContain('rows')
    expect(await refusal(bytes(`a\n${'x'.repeat(limits.cellLength + 1)}\n`))).toContain('longer than')
    expect(await refusal(bytes(`${'a,'.repeat(150)}\n${'1,'.repeat(150)}\n`))).toContain('columns')
    const wide = bytes(`a\r\n1\r\n${',a'.repeat(2_000_000)}\n`)
    expect(
      await processorTime(async () => expect(await refusal(wide)).toContain('Line 3 has more')),
    ).toBeLessThan(500)
    expect(await refusal(Buffer.from([1, 0, 0, 2, 0, 5, 5]))).toContain('not a text file')
  })
})

describe('a workbook', () => {
  it('gives text as it stands, numbers as numbers and dates as the clock showed them', async () => {
    // 45356 is 5 March 2024; .5625 of a day is 13:30. Computed by hand from the rule above.
    const file = workbook([
      ['no', 'length', 'when', 'day', 'words'],
      ['007', 12.5, { serial: 45356.5625 }, { serial: 45356 }, ' two\nlines '],
    ])
    const { rows, sheet, kind } = await readTable(file)
    expect([kind, sheet]).toEqual(['workbook', 'Depot'])
    expect(rows[0]?.cells).toEqual([
      '007',
      12.5,
      { local: '2024-03-05T13:30' },
      { local: '2024-03-05' },
      ' two\nlines ',
    ])
  })

  it('gives what a formula last came to, whatever the formula; one that was never worked out is named', async () => {
    const book = workbook([
      ['a', 'b'],
      [{ formula: 'HYPERLINK("x")' }, 'c'],
    ])
    const table = await readTable(book)
    expect(table.rows.map(row => row.cells)).toEqual([[1, 'c']])
    expect(table.formulas).toBe(1)
    const sheet = (cell: string) => ({
      'xl/worksheets/sheet1.xml': `<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData><row r="1"><c r="A1"><v>7</v></c></row><row r="2">${cell}</row></sheetData></worksheet>`,
    })
    const shared = await readTable(
      workbook([], sheet('<c r="A2" t="str"><f t="shared" si="0"/><v>so</v></c>')),
    )
    expect(shared.rows[0]?.cells).toEqual(['so'])
    expect(await refusal(workbook([], sheet('<c r="A2"><f>1+1</f></c>')))).toContain(
      'Cell A2 was never worked out',
    )
    const broken = await readTable(
      workbook([], sheet('<c r="A2" t="e"><f>A9</f><v>#REF!</v></c><c r="B2"><v>1</v></c>')),
    )
    expect(broken.rows[0]?.cells).toEqual(['#REF!', 1])
  })

  it('is refused with macros, entities or a password', async () => {
    expect(await refusal(workbook([['a'], [1]], { 'xl/vbaProject.bin': 'x' }))).toContain('macros')
    const entity = '<!DOCTYPE x [<!ENTITY a "aaaa">]><sst/>'
    expect(await refusal(workbook([['a'], [1]], { 'xl/sharedStrings.xml': entity }))).toContain('entities')
    expect(await refusal(Buffer.from([0xd0, 0xcf, 0x11, 0xe0, 1, 2]))).toContain('locked')
  })

  it('that unpacks to too much is refused before it is unpacked, even when it lies about its size', async () => {
    const bomb = Buffer.alloc(limits.unpackedBytes + 1, 'a')
    expect(await refusal(zip({ 'xl/worksheets/sheet1.xml': bomb }))).toContain('unpacks to more')
    expect(await refusal(zip({ 'xl/worksheets/sheet1.xml': bomb }, 10))).toContain('unpacks to more')
    const parts = Object.fromEntries(
      Array.from({ length: 5 }, (_, n) => [`xl/p${n}.xml`, bomb.subarray(0, bomb.length / 4)]),
    )
    expect(await refusal(zip(parts))).toContain('unpacks to more')
  })

  it('is read by its directory alone: what is not named there is not looked at, under no other name either', async () => {
    const behind = withHidden(workbook([['a'], ['named']]), workbook([['a'], ['hidden']]))
    expect(await cells(behind)).toEqual([['a'], ['named']])
    // Named for a text in the directory, for a sheet where it lies.
    const sheet = 'xl/worksheets/sheet1.xml'
    const disguised = workbook([['a'], ['b']])
    disguised.write('xl/worksheets/sheet1.txt', disguised.lastIndexOf(sheet))
    expect(await refusal(disguised)).toContain('could not be read')
    const twice = zip({ 'xl/a.xml': 'x', 'xl/b.xml': 'y' })
    twice.write('xl/a.xml', twice.lastIndexOf('xl/b.xml'))
    expect(await refusal(twice)).toContain('twice')
  })

  it('that is damaged is refused and never throws anything else', async () => {
    const { files, wrong } = await readDamaged(37)
    expect(wrong).toEqual([])
    expect(files).toBeGreaterThan(50)
  })
})

describe('a workbook that reaches far', () => {
  const sheet = (data: string) =>
    workbook([['a'], [1]], {
      'xl/worksheets/sheet1.xml': `<worksheet><sheetData>${data}</sheetData></worksheet>`,
    })
  const cell = (reference: string, inside = '<v>1</v>') => `<c r="${reference}">${inside}</c>`

  // The last cell of a sheet is XFD1048576: ECMA-376 part 1, 18.3.1.73 and 18.3.1.13 (value from memory).
  it.each([
    ['no sheet has', `<row r="1">${cell('ZZZZZZ1')}</row>`],
    ['no sheet has', `<row r="1">${cell('XFE1')}</row>`],
    ['no sheet has', `<row r="1048577">${cell('A1048577')}</row>`],
    ['no sheet has', '<row r="99999999"/>'],
    ['no sheet has', '<row r="1"><c><v>1</v></c></row>'],
    ['no sheet has', `<row r="1">${cell('&#90;ZZ1')}</row>`],
    ['too far', `<row r="1">${cell('A1')}</row><row r="1048576">${cell('XFD1048576')}</row>`],
    ['too far', `<x:row r='1048576'><x:c t=">" r='XFD1048576'><x:v>1</x:v></x:c></x:row>`],
    ['not written as', '<row r="1"><c r=ZZZZZZ1><v>1</v></c></row>'],
  ])('is refused before it is read: %s', async (words, data) => {
    expect(await refusal(sheet(data))).toContain(words)
  })

  it('is refused for all its sheets together, under whatever name they lie', async () => {
    const far = `<sheetData><row r="1048576">${cell('A1048576', '')}</row></sheetData>`
    const file = workbook([['a'], [1]], { 'xl/a.xml': far, 'xl/b.xml': far })
    expect(await refusal(file)).toContain('rows')
  })

  it('is refused for far too many styles or shared texts', async () => {
    const styles = `<styleSheet>${'<xf/>'.repeat(limits.tags.others)}</styleSheet>`
    expect(await refusal(workbook([['a'], [1]], { 'xl/styles.xml': styles }))).toContain('far too much')
    const texts = `<sst>${'<si/>'.repeat(limits.tags.texts)}</sst>`
    expect(await refusal(workbook([['a'], [1]], { 'xl/sharedStrings.xml': texts }))).toContain('far too much')
  })

  it('is refused for a tag without an end, before a reader takes the square of it', async () => {
    for (const data of ['<'.repeat(1_000_000), `<row ${'a="" '.repeat(100_000)}/>`])
      expect(await refusal(sheet(data))).toContain('far too much')
  })

  it('is refused for one long text that many cells refer to', async () => {
    const long = 'x'.repeat(limits.cellLength - 1)
    const rows = Array.from({ length: limits.characters / limits.cellLength + 10 }, () => [long])
    expect(await refusal(workbook([['a'], ...rows]))).toContain('million characters')
  })

  it('is read when only its formats reach down to the last row', async () => {
    const data = `<row r="1">${cell('A1')}</row><row r="2">${cell('A2')}<c r="XFD2" s="1"/></row><row r="1048576"/>`
    expect(await cells(sheet(data))).toEqual([['1'], ['1']])
  })
})

describe('apart from the program', () => {
  it('a file is read the same, and refused the same', async () => {
    expect((await readApart(bytes('a;b\n1;2\n'))).rows).toEqual([{ line: 2, cells: ['1', '2'] }])
    await expect(readApart(bytes('a\n'))).rejects.toThrow(Refused)
  })

  it('a file that takes too long is given up', async () => {
    const long = bytes(`a,b\n${'some text,1\n'.repeat(limits.rows - 1)}`)
    await expect(readApart(long, {}, { seconds: 0.001 })).rejects.toThrow('within')
    expect((await readApart(bytes('a\n1\n'))).rows).toHaveLength(1)
  })

  it('all rows of a large file come over, in their order', async () => {
    const file = bytes(`n\n${Array.from({ length: 2500 }, (_, n) => `${n}\n`).join('')}`)
    const { rows } = await readApart(file)
    expect(rows.map(row => Number(row.cells[0]))).toEqual(Array.from({ length: 2500 }, (_, n) => n))
  })

  it('a file that takes all the memory there is ends the child and not the program, and the next is read', async () => {
    // More styles than fit, in a file that passes for a sheet.
    const styles = `<styleSheet><sheetData/><cellXfs>${'<xf numFmtId="0"/>'.repeat(2_000_000)}</cellXfs></styleSheet>`
    const file = workbook([['a'], [1]], { 'xl/styles.xml': styles })
    await expect(readApart(file)).rejects.toThrow(/too much memory|within/)
    expect((await readApart(bytes('a\n1\n'))).rows).toHaveLength(1)
  })

  it('files are read one at a time, a few wait for their turn, and who comes after them is told', async () => {
    const file = bytes(`a,b\n${'some text,1\n'.repeat(3000)}`)
    const all = await Promise.allSettled(Array.from({ length: 8 }, () => readApart(file)))
    const told = all.flatMap(one => (one.status === 'rejected' ? [String(one.reason.message)] : []))
    expect(told).toHaveLength(3)
    for (const words of told) expect(words).toContain('5 other files are being read')
    expect((await readApart(bytes('a\n1\n'))).rows).toHaveLength(1)
  })
})
