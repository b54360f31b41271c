import { beforeAll, describe, expect, it } from 'vitest'
import { routesOf } from '../../server/demo/railway/routes.ts'
import { driftCheck } from '../../server/demo/story/planted.ts'
import { plantedTruths, wetSeason } from '../../server/demo/story/truths.ts'
import { copyOfDemo } from './copy.ts'
import { type Demo, NOW } from './make.ts'

// What is planted must be there to be found. Invented data, for the demo only.

const SEED = 5
const truths = plantedTruths(SEED)
let demo: Omit<Demo, 'seconds'>

beforeAll(async () => {
  demo = await copyOfDemo(SEED)
})

describe('planted in the history', () => {
  it('are different things at different positions', () => {
    const all = [...truths.failing, ...truths.drifting, truths.wet]
    expect(new Set(all).size).toBe(9)
    expect(plantedTruths(SEED)).toEqual(truths)
  })

  it('are five positions that fail more than any other', () => {
    const sql = 'SELECT position_id FROM faults GROUP BY position_id ORDER BY count(*) DESC LIMIT 5'
    const worst = demo.db.prepare<[], string>(sql).pluck().all()
    expect(worst.sort()).toEqual([...truths.failing].sort())
  })

  it('are two units that fail with the same cause wherever they are fitted', () => {
    for (const serial of truths.rogueSerials) {
      const stays = staysOf(serial)
      expect(new Set(stays.map(stay => stay.positionId)).size).toBe(4)
      expect(stays.every(stay => stay.removedAt !== null)).toBe(true)
      const causes = stays.map(stay => causeOfRemoval(stay.positionId, stay.removedAt ?? ''))
      expect(new Set(causes).size).toBe(1)
    }
  })

  it('are units the workshop tests good every time, before they are fitted again', () => {
    const stays = demo.storage.history.stays()
    const names = demo.storage.history.unitNames(stays.map(stay => stay.unitId))
    const rogue = (unitId: string) => truths.rogueSerials.some(serial => names.get(unitId)?.endsWith(serial))
    const carrying = stays.filter(stay => rogue(stay.unitId))
    expect(carrying.map(stay => stay.workshop)).toEqual(carrying.map(() => 'tested good'))
    const others = stays.filter(stay => stay.removedFor !== null && !rogue(stay.unitId))
    const good = others.filter(stay => stay.workshop === 'tested good').length
    const mended = others.filter(stay => stay.workshop === 'repaired').length
    expect(mended).toBeGreaterThan(2 * good)
  })

  it('are three positions where the resistance of a contact rises from reading to reading', () => {
    for (const id of truths.drifting) {
      const readings = contactReadings(id)
      expect(readings.length).toBeGreaterThanOrEqual(6)
      const untilMended = readings.slice(0, 6)
      expect(untilMended).toEqual([...untilMended].sort((a, b) => a - b))
    }
  })

  it('is one season in which a joint fails in the rain, and no other', () => {
    const { from, to } = wetSeason(NOW)
    const faults = demo.storage.faults.listByPosition(truths.wet, 50)
    expect(faults).toHaveLength(8)
    for (const fault of faults) {
      expect(fault.reportedAt >= from.toISOString() && fault.reportedAt <= to.toISOString()).toBe(true)
      const { conditions } = demo.storage.faults.get(fault.id)
      expect(conditions.find(condition => condition.name === 'weather')?.value).toContain('rain')
    }
    expect(faults[0]?.cause).toMatch(/joint/)
  })

  it('is over at least a month before now, whenever now is', () => {
    for (let month = 0; month < 12; month++) {
      const now = new Date(Date.UTC(2027, month, 15))
      const { from, to } = wetSeason(now)
      expect(now.getTime() - to.getTime()).toBeGreaterThan(30 * 86_400_000)
      expect(now.getTime() - from.getTime()).toBeLessThan(3 * 365 * 86_400_000)
    }
  })
})

function staysOf(serial: string) {
  const kinds = [...demo.knowledge.equipment.values()].flatMap(equipment =>
    equipment.units.map(unit => unit.kind),
  )
  const found = [...new Set(kinds)].flatMap(kind => demo.storage.units.findBySerial(kind, serial) ?? [])
  const [unit] = found
  return unit ? demo.storage.units.historyOfUnit(unit.id) : []
}

function causeOfRemoval(positionId: string, removedAt: string): string | undefined {
  const sql =
    'SELECT r.cause FROM repairs r JOIN faults f ON f.id = r.fault_id WHERE f.position_id = ? AND r.at = ?'
  return demo.db.prepare<[string, string], string>(sql).pluck().get(positionId, removedAt)
}

function contactReadings(positionId: string): number[] {
  const { equipment } = demo.storage.positions.get(positionId)
  const check = driftCheck(routesOf(demo.knowledge, equipment))
  const sql = `SELECT n.value FROM findings n JOIN faults f ON f.id = n.fault_id
    WHERE f.position_id = ? AND n.tree = ? AND n."check" = ? AND n.value IS NOT NULL ORDER BY n.at`
  const rows = demo.db.prepare<[string, string, string], number>(sql).pluck()
  return rows.all(positionId, check?.tree ?? '', check?.slug ?? '')
}
