import { beforeAll, describe, expect, it } from 'vitest'
import { walk } from '../../server/walk/place.ts'
import { copyOfDemo } from './copy.ts'
import { type Demo, NOW } from './make.ts'

// Invented data, for the demo only; nothing here is held against an outside source.

let demo: Omit<Demo, 'seconds'>
let ids: string[]

beforeAll(async () => {
  demo = await copyOfDemo(1)
  ids = demo.db.prepare<[], string>('SELECT id FROM visits ORDER BY at').pluck().all()
})

describe('the rounds', () => {
  it('are many, end in every way a round can, and lie between the first and now', () => {
    const visits = ids.map(id => demo.storage.visits.get(id))
    expect(visits.length).toBeGreaterThan(300)
    expect(new Set(visits.map(({ end }) => end?.how))).toEqual(
      new Set(['healthy', 'healthy in part', 'fault found', 'broken off']),
    )
    expect(visits.filter(({ end }) => (end?.at ?? '') > NOW.toISOString())).toEqual([])
  })

  it('lead, walked again from the database, to the end they were closed with', () => {
    for (const id of ids) {
      const { visit, findings, end } = demo.storage.visits.get(id)
      const { place, offPath } = walk(demo.knowledge, visit.tree, findings)
      expect(offPath).toEqual([])
      if (end?.how === 'broken off') expect(place.kind).toBe('check')
      else expect(place.kind).toBe('end')
      if (end?.how === 'healthy') expect(place.kind === 'end' && place.end.means).toBe('healthy')
    }
  })

  it('are never walked while a fault is open, and find faults only where nobody is shown them', () => {
    const during = demo.db.prepare<[], string>(`
      SELECT v.id FROM visits v JOIN visit_ends e ON e.visit_id = v.id JOIN faults f ON f.position_id = v.position_id
      LEFT JOIN closures c ON c.fault_id = f.id
      WHERE e.how <> 'fault found' AND v.at > f.reported_at AND (c.at IS NULL OR v.at < c.at)`)
    expect(during.pluck().all()).toEqual([])
    const found = demo.db.prepare<[], { indicated: number; before: number }>(`
      SELECT p.indicated, e.at <= f.reported_at AS before FROM visit_ends e JOIN faults f ON f.id = e.fault_id
      JOIN positions p ON p.id = f.position_id`)
    for (const one of found.all()) expect(one).toEqual({ indicated: 0, before: 1 })
  })

  it('leave some positions due and some overdue', () => {
    const { intervals, listDue } = demo.storage.visits
    expect(intervals().size).toBeGreaterThan(0)
    expect(listDue().length).toBe(110)
  })

  it('stand in the trend of their checks', () => {
    const rows = demo.db.prepare<[], number>(`
      SELECT count(*) FROM visit_findings n WHERE n.kind = 'reading' AND NOT EXISTS (
        SELECT 1 FROM check_readings r WHERE r.id = n.id AND r.value IS n.value AND r.fault_id IS NULL)`)
    expect(rows.pluck().get()).toBe(0)
  })
})
