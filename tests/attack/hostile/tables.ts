// Files to be brought in that no depot has.

import { limits } from '../../../server/exchange/table.ts'
import { withHidden, workbook, zip } from '../../exchange/workbook.ts'

const repeated = (text: string, bytes: number) => text.repeat(Math.ceil(bytes / text.length))
const plates = 'Plate,Date reported,Fault,Cause\n'

/** Text files, by name; all bring in past faults. */
export function hostileCsv(): [string, Buffer][] {
  const texts: [string, string][] = [
    ['one line of commas', repeated(',', 4_900_000)],
    ['lines of commas', repeated(`${','.repeat(2000)}\n`, 4_900_000)],
    ['nothing but line breaks', repeated('\n', 4_900_000)],
    ['nothing but quotes', repeated('"', 4_900_000)],
    ['an odd number of quotes', `${repeated('""', 4_000_000)}"`],
    ['quotes opened in each line', repeated('a,"b\n', 4_900_000)],
    ['quotes in the middle of cells', plates + repeated('a"b"c,d"e,f""g,"h"i\n', 2_000_000)],
    ['a quote that never closes', `${plates}"${repeated('x\n', 4_000_000)}`],
    ['one cell as large as the file', `a\n${'x'.repeat(4_900_000)}`],
    ['one cell just too long', `a\n${'x'.repeat(limits.cellLength + 1)}\n`],
    ['more columns than allowed', `${'a,'.repeat(limits.columns + 1)}\n${'1,'.repeat(limits.columns + 1)}\n`],
    ['more rows than allowed', `a\n${'1\n'.repeat(limits.rows + 1)}`],
    ['more cells than allowed', repeated(`${'1,'.repeat(99)}1\n`, 2_000_000)],
    ['a delimiter of its own that is none', 'sep=\u0000\r\na\u0000b\n1\u00002\n'],
    ['a delimiter line alone', 'sep=;'],
    ['delimiters that disagree', repeated('a;b,c\td|e\n', 100_000)],
    ['columns called the same', `${'Plate,'.repeat(50)}\n${'x,'.repeat(50)}\n`],
    ['columns with names of an object', '__proto__,constructor,toString\n1,2,3\n'],
    ['formulas', `${plates}=1+1,@x,+1+cmd|x,-2\n`],
    ['markup', `${plates}<script>alert(1)</script>,"<img src=x onerror=alert(1)>",x,y\n`],
    ['marks piled on a letter', `${plates}a${'\u0301'.repeat(9000)},2025-01-01,x,y\n`],
    ['turned directions', `${plates}\u202eabc,2025-01-01,\u2066x,\u200by\n`],
    ['control characters', `${plates}\u0007\u001b[2J,2025-01-01,\u0085,\u009f\n`],
    ['impossible dates', `${plates}WH-3-U,9999999-99-99,Dark,x\nWH-3-U,0000-00-00,Dark,x\n`],
    ['dates as long as a cell', `${plates}WH-3-U,${'1'.repeat(9999)},Dark,x\n`],
    ['numbers as long as a cell', `day,min,max\n2025-01-01,${'9'.repeat(9999)},1e999\n`],
    [
      'thousands of wordings',
      plates +
        Array.from(
          { length: 19_000 },
          (_, n) => `WH-3-U,2025-01-01,fault ${n} ${n * 7919} of some words,cause ${n}\n`,
        ).join(''),
    ],
    [
      'long wordings',
      plates +
        Array.from(
          { length: 900 },
          (_, n) => `WH-3-U,2025-01-01,${`${n} word `.repeat(400)},${`${n} `.repeat(900)}\n`,
        ).join(''),
    ],
    [
      'spaces in front of everything',
      plates + repeated(`${' '.repeat(900)}x,${' '.repeat(900)}2025-01-01\n`, 1_000_000),
    ],
  ]
  return [
    ...texts.map(([name, text]): [string, Buffer] => [name, Buffer.from(text)]),
    ['nothing at all', Buffer.alloc(0)],
    ['zeros', Buffer.alloc(100_000)],
    ['bytes of no encoding', Buffer.from(Array.from({ length: 10_000 }, (_, n) => (n * 151 + 7) % 256))],
    ['a byte mark alone', Buffer.from([0xef, 0xbb, 0xbf])],
    ['half a letter of UTF-16', Buffer.from([0xff, 0xfe, 0x61])],
    [
      'lone surrogates in UTF-16',
      Buffer.concat([
        Buffer.from([0xff, 0xfe]),
        Buffer.from('a\nb\n', 'utf16le'),
        Buffer.from([0x00, 0xd8, 0x0a, 0x00]),
      ]),
    ],
    ['UTF-16 of zeros', Buffer.concat([Buffer.from([0xfe, 0xff]), Buffer.alloc(1000)])],
    ['overlong UTF-8', Buffer.from([0x61, 0x0a, 0xc0, 0xaf, 0xe0, 0x80, 0xaf, 0x0a])],
    ['an old workbook', Buffer.from('d0cf11e0a1b11ae1', 'hex')],
    ['larger than allowed', Buffer.alloc(limits.bytes + 1, 'a')],
  ]
}

const relations = (targets: string[]) =>
  `<Relationships>${targets.map((target, n) => `<Relationship Id="rId${n + 1}" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="${target}"/>`).join('')}</Relationships>`

/** Workbooks, by name. */
export function hostileWorkbooks(): [string, Buffer][] {
  const sheet = (data: string) =>
    workbook([['a'], [1]], {
      'xl/worksheets/sheet1.xml': `<worksheet><sheetData>${data}</sheetData></worksheet>`,
    })
  const cell = (at: string) => `<row r="1"><c r="${at}"><v>1</v></c></row>`
  const styled = (styles: string) => workbook([['a'], [1]], { 'xl/styles.xml': styles })
  const good = workbook([['name'], ['Newhalt']])
  return [
    ...[
      'ZZZZZZ1',
      'XFE1',
      'XFD1048576',
      'A0',
      'A99999999',
      '1A',
      'A',
      '',
      '&#90;ZZ9',
      'a1',
      'A-1',
      'A1e9',
    ].map((at): [string, Buffer] => [`a cell at ${at}`, sheet(cell(at))]),
    ['a row far away', sheet('<row r="1e308"/>')],
    ['a cell that is none', sheet('<row r="1"><c r=ZZZZZZ1><v>1</v></c></row>')],
    ['an attribute with a bracket', sheet('<row r="1"><c t=">" r="ZZZZZZ1"><v>1</v></c></row>')],
    ['rows inside rows', sheet('<row>'.repeat(200_000))],
    ['cells that never end', sheet(`<row r="1">${'<c r="A1"><v>'.repeat(100_000)}`)],
    ['millions of empty rows', sheet('<row/>'.repeat(1_500_000))],
    [
      'one text of 39 MB',
      workbook([['a'], [1]], {
        'xl/sharedStrings.xml': `<sst><si><t>${'x'.repeat(39_000_000)}</t></si></sst>`,
      }),
    ],
    [
      'millions of texts',
      workbook([['a'], [1]], { 'xl/sharedStrings.xml': `<sst>${'<si/>'.repeat(7_000_000)}</sst>` }),
    ],
    [
      'millions of styles',
      styled(`<styleSheet><cellXfs>${'<xf/>'.repeat(2_000_000)}</cellXfs></styleSheet>`),
    ],
    [
      'millions of styles in a sheet',
      styled(
        `<styleSheet><sheetData/><cellXfs>${'<xf numFmtId="0"/>'.repeat(1_500_000)}</cellXfs></styleSheet>`,
      ),
    ],
    [
      'one long text in many cells',
      workbook([['a'], ...Array.from({ length: 1100 }, () => ['x'.repeat(9999)])]),
    ],
    [
      'entities in entities',
      workbook([['a'], [1]], {
        'xl/sharedStrings.xml': '<!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]><sst/>',
      }),
    ],
    ['a bomb', zip({ 'xl/worksheets/sheet1.xml': Buffer.alloc(limits.unpackedBytes + 1, 'a') })],
    [
      'a bomb that lies',
      zip({ 'xl/worksheets/sheet1.xml': Buffer.alloc(limits.unpackedBytes + 1, 'a') }, 10),
    ],
    [
      'hundreds of files',
      zip(Object.fromEntries(Array.from({ length: 600 }, (_, n) => [`xl/${n}.xml`, 'x']))),
    ],
    ['names that climb', zip({ '../../../etc/passwd': 'x', __proto__: 'x', constructor: 'x' })],
    ['hidden files', withHidden(good, workbook([['a'], [{ formula: '1+1' }]]))],
    ['macros', workbook([['a'], [1]], { 'xl/vbaProject.bin': 'x' })],
    ['a formula', workbook([['a'], [{ formula: 'HYPERLINK("x")' }]])],
    [
      'a sheet that is not there',
      workbook([['a'], [1]], { 'xl/_rels/workbook.xml.rels': relations(['nowhere.xml']) }),
    ],
    [
      'a sheet that is the workbook',
      workbook([['a'], [1]], { 'xl/_rels/workbook.xml.rels': relations(['workbook.xml']) }),
    ],
    ['a workbook without anything', zip({})],
    ['attributes without end', sheet(`<row ${'a="" '.repeat(500_000)}/>`)],
    ['tags without end', sheet('<'.repeat(1_000_000))],
    ['text outside of XML', sheet('\u0000\u0001]]>&amp;&bad;&#0;&#x110000;')],
    ...[10, 60, 200, 400, 800].map((at): [string, Buffer] => [`cut at ${at}`, good.subarray(0, at)]),
  ]
}
