import { createHash, randomUUID } from 'node:crypto'
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { parse } from 'csv-parse/sync'
import { strFromU8, unzipSync } from 'fflate'
import { beforeEach, describe, expect, it } from 'vitest'
import { createZonedTime } from '../../../server/exchange/zoned-time.ts'
import { watchedTables } from '../../../server/storage/engine/watched.ts'
import { commonColumns } from '../../../server/storage/exchange/export-columns.ts'
import { exportedTables, keptIn } from '../../../server/storage/exchange/export-tables.ts'
import { makeStorage } from '../../storage/make.ts'
import { jpeg } from '../../support/pictures.ts'
import { makeSite, type Site } from '../../support/site.ts'
import type { Visitor } from '../../support/visitor.ts'
import { attend, find, report } from '../../support/walking.ts'

// CSV is held against a general reader (RFC 4180, read in source); times against ISO 8601 (read in source).

let site: Site
let isla: Visitor
beforeEach(async () => {
  site = await makeSite({ env: { TIME_ZONE: 'Europe/London' } })
  isla = await site.as('isla')
})

const rowsOf = async (table: string): Promise<Record<string, string>[]> =>
  parse((await isla.get(`/export/${table}.csv`)).html, { columns: true })
const jsonOf = async (table: string): Promise<Record<string, unknown>[]> =>
  JSON.parse((await isla.get(`/export/${table}.json`)).html)

describe('every table', () => {
  it('can be taken out or has a reason why not, and every column is explained', () => {
    const { db, storage } = makeStorage()
    const all = db
      .prepare<[], string>("SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name")
      .pluck()
      .all()
    const known = [...Object.keys(exportedTables), ...Object.keys(keptIn)].sort()
    expect(all.filter(name => !known.includes(name))).toEqual([])
    expect(known.filter(name => !all.includes(name))).toEqual([])
    const unexplained = storage.exports
      .list()
      .flatMap(table =>
        table.columns.filter(column => column.about === '').map(column => `${table.name}.${column.name}`),
      )
    expect(unexplained).toEqual([])
    expect(watchedTables(db).length).toBeGreaterThan(30)
    expect(Object.keys(commonColumns).length).toBeGreaterThan(20)
  })

  it('gives a word as a word, though another table keeps data under the same name', async () => {
    site.db.exec(`PRAGMA foreign_keys = OFF;
      DROP TRIGGER temp.trail_decisions_added;
      INSERT INTO decisions (id, proposal_id, seq, at, by, verdict, words)
      VALUES ('d', 'p', 1, '2026-10-01T10:00:00.000Z', 'rue', 'approved', '')`)
    expect(await rowsOf('decisions')).toMatchObject([{ verdict: 'approved' }])
    expect(await jsonOf('decisions')).toMatchObject([{ verdict: 'approved' }])
  })

  it('is read back the same from CSV and from JSON, and holds no secret', async () => {
    const wren = await site.as('wren')
    const fault = await report(wren, { noticed: 'Dark, "again"\r\nand again' })
    await attend(wren, fault)
    await find(wren, fault, 'supply', '110')
    for (const { name, rows } of site.deps.storage.exports.list()) {
      const [csv, json] = [await rowsOf(name), await jsonOf(name)]
      expect([name, csv.length, json.length]).toEqual([name, rows, rows])
      if (name === 'check_readings' || name === 'trail') continue // ids and hashes hold no text a guard would change
      const asText = json.map(row =>
        Object.fromEntries(
          Object.entries(row).map(([column, value]) => [
            column,
            value === null
              ? ''
              : value === true
                ? 'yes'
                : value === false
                  ? 'no'
                  : typeof value === 'object'
                    ? JSON.stringify(value)
                    : String(value),
          ]),
        ),
      )
      expect(csv.map(unguarded)).toEqual(asText.map(unguarded))
    }
    const people = (await isla.get('/export/people.csv')).html
    expect(people).toContain('Wren Aldous')
    expect(people).not.toMatch(/pin_hash|password|\$/)
    expect((await isla.get('/export/sessions.csv')).status).toBe(404)
    expect((await isla.get('/export/setup_codes.json')).status).toBe(404)
  })
})

function unguarded(row: Record<string, string>): Record<string, string> {
  return Object.fromEntries(Object.entries(row).map(([column, text]) => [column, text.replace(/^'/, '')]))
}

describe('a reading', () => {
  it('is there raw as typed, normalised with its unit, and with the limit as it was', async () => {
    const wren = await site.as('wren')
    const fault = await report(wren)
    await attend(wren, fault)
    await find(wren, fault, 'supply', '110.0')
    const [row] = await rowsOf('findings')
    expect(row).toMatchObject({ text: '110.0', value: '110', range_min: '99', range_max: '121', flag: 'no' })
    expect(row?.unit).toContain('V')
    const [json] = await jsonOf('findings')
    expect(json).toMatchObject({ value: 110, flag: false, reading: { kind: 'value' } })
  })

  it('of a fact is there as written and as a number with its unit', async () => {
    const rows = await rowsOf('position_facts')
    expect(rows.find(row => row.fact === 'cable length')).toMatchObject({
      value: '120',
      number: '120',
      unit: 'm',
    })
    expect(rows.find(row => row.fact === 'direction')).toMatchObject({
      value: 'normal',
      number: '',
      unit: '',
    })
  })
})

describe('text', () => {
  it('that a spreadsheet would take for a formula is guarded; a negative number is not', async () => {
    const { storage } = site.deps
    const plain = { line: '', mileage: '-12.5', access: '' }
    storage.sites.create({ ...plain, id: 's2', name: '=HYPERLINK("x")', access: '@home' })
    storage.sites.create({ ...plain, id: 's3', name: '-2+3+cmd|x' })
    const rows = await rowsOf('sites')
    expect(rows.find(row => row.id === 's2')).toMatchObject({
      name: `'=HYPERLINK("x")`,
      access: "'@home",
      mileage: '-12.5',
    })
    expect(rows.find(row => row.id === 's3')?.name).toBe("'-2+3+cmd|x")
    expect((await jsonOf('sites')).find(row => row.id === 's2')).toMatchObject({ name: '=HYPERLINK("x")' })
  })

  it('has a byte mark only where it is asked for, and CRLF after each record', async () => {
    expect((await isla.get('/export/sites.csv')).html).toMatch(/^id,name,line,mileage,access\r\n/)
    expect((await isla.get('/export/sites.csv?mark=yes')).html.charCodeAt(0)).toBe(0xfeff)
  })
})

describe('times', () => {
  it('have the offset of the depot’s zone on that day', async () => {
    const zoned = createZonedTime('Europe/London')
    // Summer time began on 2026-03-29 at 01:00 UTC (time zone database, read in source).
    expect(zoned('2026-03-29T00:59:59.000Z')).toBe('2026-03-29T00:59:59.000+00:00')
    expect(zoned('2026-03-29T01:00:00.000Z')).toBe('2026-03-29T02:00:00.000+01:00')
    expect(createZonedTime('America/St_Johns')('2026-07-01T00:10:00.000Z')).toBe(
      '2026-06-30T21:40:00.000-02:30',
    )
    expect(createZonedTime('Asia/Kathmandu')('2026-07-01T00:00:00.000Z')).toBe(
      '2026-07-01T05:45:00.000+05:45',
    )
    const [position] = await rowsOf('positions')
    expect(position?.in_service).toBe('2020-01-01T00:00:00.000+00:00')
  })

  it('say the same moment in any zone', () => {
    for (const zone of ['UTC', 'Europe/London', 'Australia/Lord_Howe', 'Pacific/Apia']) {
      const zoned = createZonedTime(zone)
      for (let hour = 0; hour < 400 * 24; hour += 7) {
        const utc = new Date(Date.UTC(2025, 11, 1, hour, 13)).toISOString()
        expect(new Date(zoned(utc)).toISOString()).toBe(utc)
      }
    }
  })
})

describe('the page', () => {
  it('lists the tables with their columns, for engineers', async () => {
    const page = await isla.get('/export')
    expect(page.text).toContain('Working places of equipment')
    expect(page.text).toContain('Whether a failure is shown to the signaller')
    const wren = await site.as('wren')
    expect((await wren.get('/export')).status).toBe(403)
    expect((await wren.get('/export/people.csv')).status).toBe(403)
  })

  it.each(['nothing.csv', 'sites.exe', 'constructor.csv', '__proto__.json', 'sqlite_schema.csv', 'sites'])(
    '%s is no address',
    async file => expect((await isla.get(`/export/${file}`)).status).toBe(404),
  )

  it('gives large tables whole, in parts', async () => {
    site.deps.storage.transaction(() => {
      for (let n = 0; n < 2500; n += 1)
        site.deps.storage.sites.create({ id: `n${n}`, name: `Halt ${n}`, line: '', mileage: '', access: '' })
    })
    const rows = await rowsOf('sites')
    expect(new Set(rows.map(row => row.id)).size).toBe(2501)
  })
})

describe('everything in one archive', () => {
  it('can be read by anybody’s program: each table as CSV and JSON, the dictionary, the pictures', async () => {
    const dataDir = mkdtempSync(path.join(tmpdir(), 'fourfoot-archive-'))
    site = await makeSite({ env: { TIME_ZONE: 'Europe/London', DATA_DIR: dataDir } })
    isla = await site.as('isla')
    const wren = await site.as('wren')
    const fault = await report(wren)
    await attend(wren, fault)
    await find(wren, fault, 'supply', '110')
    const finding = site.deps.storage.faults.get(fault).findings[0]?.id ?? ''
    const photo = wren.agent.post(`/faults/${fault}/photos`).set('Sec-Fetch-Site', 'same-origin')
    await photo.field({ id: randomUUID(), finding, words: 'the clip' }).attach('photo', jpeg, 'a.jpg')
    const sent = isla.agent.get('/export/all.zip').buffer(true)
    const { body, headers } = await sent.parse((response, done) => {
      const parts: Buffer[] = []
      response.on('data', part => parts.push(part))
      response.on('end', () => done(null, Buffer.concat(parts)))
    })
    expect(headers['content-type']).toBe('application/zip')
    expect(headers['content-disposition']).toMatch(/filename="fourfoot-\d{4}-\d\d-\d\d\.zip"/)
    const files = unzipSync(body)
    const text = (name: string) => strFromU8(files[name] ?? new Uint8Array())
    const tables = site.deps.storage.exports.list()
    for (const { name } of tables) {
      expect(text(`tables/${name}.csv`), name).toBe((await isla.get(`/export/${name}.csv`)).html)
      expect(JSON.parse(text(`tables/${name}.json`)), name).toEqual(await jsonOf(name))
    }
    const dictionary = parse(text('dictionary.csv'), { columns: true }) as Record<string, string>[]
    for (const { name, columns } of tables)
      for (const column of columns)
        expect(
          dictionary.some(
            row => row.Table === name && row.Column === column.name && row['What it is'] !== '',
          ),
        ).toBe(true)
    const [taken] = site.deps.storage.photos.files()
    const inside = files[`pictures/${taken?.sha256}.jpg`] ?? new Uint8Array()
    expect(createHash('sha256').update(inside).digest('hex')).toBe(taken?.sha256)
    rmSync(dataDir, { recursive: true })
  })
})
