import { hash } from 'node:crypto'
import { beforeAll, describe, expect, it } from 'vitest'
import { createSecrets } from '../../server/auth/scrypt.ts'
import { pinProblem } from '../../server/auth/secrets.ts'
import { demoInstruments } from '../../server/demo/railway/instruments.ts'
import { demoPeople } from '../../server/demo/railway/people.ts'
import { causeKey } from '../../server/knowledge/graph.ts'
import { instrumentProblems } from '../../server/measurement/instruments/instrument.ts'
import { stillDisturbed } from '../../server/walk/disturbed.ts'
import type { FaultRecord } from '../../server/walk/record.ts'
import { stage, walked } from '../../server/walk/stage.ts'
import { knowledge as smallKnowledge } from '../walk/small-knowledge.ts'
import { copyOfDemo } from './copy.ts'
import { type Demo, loadInto, makeDemo, NOW } from './make.ts'

// Invented data, for the demo only; nothing here is held against an outside source.

let demo: Omit<Demo, 'seconds'>
let records: FaultRecord[]

beforeAll(async () => {
  demo = await copyOfDemo(1)
  const ids = demo.db.prepare<[], string>('SELECT id FROM faults ORDER BY reported_at').pluck().all()
  records = ids.map(id => demo.storage.faults.get(id))
})

describe('the demo railway', () => {
  it('is about 40 sites, 110 positions and 350 faults in three years', () => {
    expect(demo.storage.sites.list()).toHaveLength(40)
    expect(count('positions')).toBe(110)
    expect(records.length).toBeGreaterThan(320)
    expect(records.length).toBeLessThan(380)
    expect(records[0]?.fault.reportedAt.slice(0, 4)).toBe('2023')
  })

  it('has at every position the units its facts allow', () => {
    const position = demo.storage.positions.get('position-001')
    const kinds = new Set(demo.knowledge.equipment.get(position.equipment)?.units.map(unit => unit.kind))
    expect(position.fitted.map(unit => unit.kind).sort()).toEqual([...kinds].sort())
  })

  it('puts nothing later than now', () => {
    const later = records.flatMap(record => timesOf(record)).filter(at => at > NOW.toISOString())
    expect(later).toEqual([])
  })

  it('keeps the order of time within each fault', () => {
    for (const { findings, fault } of records) {
      const times = findings.map(finding => finding.at)
      expect(times).toEqual([...times].sort())
      expect(times.every(at => at >= fault.reportedAt)).toBe(true)
    }
  })

  it('is the same again from the same seed, and another from another', async () => {
    const again = await makeDemo(1)
    const other = await copyOfDemo(5)
    expect(everything(again)).toEqual(everything(demo))
    expect(everything(other)).not.toEqual(everything(demo))
  })

  it('signs in with the PINs it prints', async () => {
    for (const person of demoPeople) expect(pinProblem(person.pin)).toBeNull()
    const [first] = demoPeople
    const stored = demo.storage.people.find(first?.id ?? '')
    expect(await createSecrets().verify(first?.pin ?? '', stored?.pinHash ?? null)).toBe(true)
    expect(new Set(demoPeople.map(person => person.role)).size).toBe(4)
  })
})

describe('the faults', () => {
  it('lead, walked again from the database, to the cause they were closed with', () => {
    for (const record of records.filter(one => one.closure?.outcome === 'proven cause')) {
      const { walk } = walked(demo.knowledge, record.fault.tree, record)
      expect(walk.place.kind === 'cause' && causeKey(walk.place.cause)).toBe(record.closure?.cause)
    }
  })

  it('leave nothing disturbed once closed', () => {
    for (const record of records.filter(one => one.closure !== null)) {
      expect(stillDisturbed(walked(demo.knowledge, record.fault.tree, record).disturbed)).toEqual([])
    }
  })

  it('end in every way a fault can end', () => {
    const outcomes = new Set(records.map(record => record.closure?.outcome))
    for (const outcome of ['proven cause', 'probable cause', 'not reproduced', 'not completed'] as const) {
      expect(outcomes).toContain(outcome)
    }
    expect(records.some(record => record.closure?.clearedItself)).toBe(true)
  })

  it('hold corrections, departures, failed proofs, handovers and held evidence', () => {
    const all = records.flatMap(record => record.findings)
    expect(all.filter(finding => finding.replaces !== null).length).toBeGreaterThan(5)
    expect(all.filter(finding => finding.kind === 'departure').length).toBeGreaterThan(5)
    expect(all.filter(finding => finding.kind === 'rejection').length).toBeGreaterThan(5)
    expect(records.filter(record => record.attendances.length > 1).length).toBeGreaterThan(5)
    expect(records.filter(record => record.holdReleases.length > 0).length).toBeGreaterThan(5)
    expect(new Set(records.flatMap(record => record.attendances.map(one => one.personName))).size).toBe(6)
  })

  it('wait on the first morning in four states', () => {
    const open = records.filter(record => record.closure === null)
    const stages = open.map(record => stage(demo.knowledge, record, NOW.toISOString(), 45).kind)
    expect(stages.sort()).toEqual(expect.arrayContaining(['held', 'not attended']))
    expect(open).toHaveLength(3)
    const recent = new Date(NOW.getTime() - 3 * 86_400_000).toISOString()
    expect(demo.storage.faults.listUnsettled().some(fault => fault.reportedAt > recent)).toBe(true)
  })
})

describe('the instruments', () => {
  it('are named beside every reading they could take, and one was not sent for calibration', () => {
    const readings = records.flatMap(record => record.findings).filter(finding => finding.kind === 'reading')
    const named = readings.filter(finding => finding.instrument !== null)
    expect(named.length / readings.length).toBeGreaterThan(0.9)
    const late = demo.storage.instruments.listReadingsOutOfDate(1000)
    expect(new Set(late.map(one => one.kind))).toEqual(new Set(['multimeter']))
    expect(late.every(one => one.at > '2026')).toBe(true)
  })

  it('have no mistakes in their entries', () => {
    expect(demoInstruments.flatMap(instrumentProblems)).toEqual([])
  })
})

describe('other knowledge', () => {
  it('gives a railway too, without limits, units or a contact that could creep', async () => {
    const files = [{ path: 'trees/output-dead.md', text: '# Output dead', sha256: 'x' }]
    const small = await loadInto(3, NOW, smallKnowledge, 'small', files)
    expect(small.storage.faults.listRecent(1000).length).toBeGreaterThan(300)
  })
})

function count(table: 'positions'): number {
  return demo.db.prepare<[], number>(`SELECT count(*) FROM ${table}`).pluck().get() ?? 0
}

function timesOf(record: FaultRecord): string[] {
  const entries = [
    record.findings,
    record.repairs,
    record.restorations,
    record.proofs,
    record.identities,
  ].flat()
  const ends = record.attendances.flatMap(attendance => [attendance.startedAt, attendance.endedAt ?? ''])
  return [record.fault.reportedAt, record.closure?.at ?? '', ...entries.map(entry => entry.at), ...ends]
}

/** Each table with the hash of its rows: all that was written but the salted hashes of the PINs and the migrations. */
function everything({ db }: Pick<Demo, 'db'>): [string, string][] {
  const tables = db
    .prepare<[], string>(
      "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT IN ('people', 'migrations', 'trail')",
    )
    .pluck()
    .all()
  return tables.map(table => [
    table,
    hash('sha256', JSON.stringify(db.prepare(`SELECT * FROM "${table}"`).all())),
  ])
}
