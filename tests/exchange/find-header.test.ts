import { describe, expect, it } from 'vitest'
import { readTable } from '../../server/exchange/read-table.ts'
import { textOf } from '../../server/exchange/table.ts'

const read = async (lines: string[], options = {}) => {
  const table = await readTable(Buffer.from(`${lines.join('\n')}\n`), options)
  const skipped = table.skipped.map(({ line }) => line)
  return {
    header: table.header,
    line: table.headerLine,
    rows: table.rows.map(row => textOf(row.cells[0])),
    skipped,
  }
}

const plain = ['Plate;Site;Name', 'A;Ley;Up', 'B;Ley;Down']

describe('the table in a sheet', () => {
  it('begins with the first row where nothing stands above it', async () => {
    expect(await read(plain)).toEqual({
      header: ['Plate', 'Site', 'Name'],
      line: 1,
      rows: ['A', 'B'],
      skipped: [],
    })
  })

  it('is found below a title and a day, and above a total and a note', async () => {
    const lines = [
      'Assets of the depot',
      '',
      'As of 3 March;;',
      ...plain,
      'Total: 2;;',
      'Checked by the office;;',
    ]
    expect(await read(lines)).toEqual({
      ...{ header: ['Plate', 'Site', 'Name'], line: 4, rows: ['A', 'B'] },
      skipped: [1, 3, 7, 8],
    })
  })

  it.each(['Total: 12;;', 'Totals;2;2', 'Grand total;;14', 'Sub-total 3,5;;'])(
    'ends before “%s”',
    async last => {
      expect((await read([...plain, last])).rows).toEqual(['A', 'B'])
    },
  )

  it.each(['Total Street;Ley;Up', 'Totality;Ley;x'])('holds “%s”, which is none', async last => {
    expect((await read([...plain, last])).rows).toHaveLength(3)
  })

  it('of one column begins with its first row, and its last row is no note', async () => {
    expect(await read(['Site', 'Ley', 'Moor'])).toMatchObject({ header: ['Site'], rows: ['Ley', 'Moor'] })
  })

  it('is where somebody says it is, to its end if they say so', async () => {
    expect((await read(['x;y;z', ...plain, 'Total;;'], { headerLine: 2, wholeEnd: true })).rows).toEqual([
      ...['A', 'B', 'Total'],
    ])
    expect((await read(plain, { headerLine: 99 })).line).toBe(1)
  })
})
