import path from 'node:path'
import type { InstrumentFunction, Method } from '../../server/measurement/instruments/instrument.ts'
import { makeSite, type Site } from './site.ts'
import type { Page, Visitor } from './visitor.ts'
import { attend, find, report } from './walking.ts'

const usual: Record<string, string> = {
  direction: 'normal',
  'cable length': '120',
  conductor: '2.5',
  temperature: '20',
  'loop spacing': '20',
  timer: '1',
  'arming tone': '64.25',
  'trigger tone': '65.25',
  'fuse rating': '2',
}

/** A site whose knowledge has every kind of reading, with a position for each direction; some facts as given. */
export async function makeMeasuringSite(facts: Record<string, string | null> = {}): Promise<Site> {
  const site = await makeSite({ knowledgeDir: path.join(import.meta.dirname, 'measuring') })
  const common = { siteId: 'site', equipment: 'test-line', indicated: true, outOfService: null }
  const own = Object.entries({ ...usual, ...facts }).flatMap(([name, value]) =>
    value === null ? [] : [[name, value] as const],
  )
  const other = { ...usual, direction: 'opposite', 'arming tone': '64.75', 'trigger tone': '65.75' }
  const inService = '2020-01-01T00:00:00.000Z'
  const { positions } = site.deps.storage
  positions.create({
    ...common,
    inService,
    id: 'line',
    name: 'Line',
    plate: 'WH-9',
    facts: Object.fromEntries(own),
  })
  positions.create({ ...common, inService, id: 'back', name: 'Line back', plate: 'WH-8', facts: other })
  return site
}

/** Reports a fault at the position, attends it, and leaves the path for the check. */
export async function standAt(visitor: Visitor, check: string): Promise<string> {
  const fault = await report(visitor, { position: 'line', tree: 'measured' })
  await attend(visitor, fault)
  if (check !== 'supply')
    await visitor.post(`/faults/${fault}/departures`, {
      from: 'measured#supply',
      to: `measured#${check}`,
      reason: 'for the test',
    })
  return fault
}

export function read(
  visitor: Visitor,
  fault: string,
  check: string,
  text: string,
  fields: Record<string, string> = {},
): Promise<Page> {
  return find(visitor, fault, check, text, { tree: 'measured', how: 'reading', ...fields })
}

export const checkPage = (visitor: Visitor, fault: string, check: string, query = '') =>
  visitor.get(`/faults/${fault}/checks/measured/${check}${query}`)

/** Puts an instrument in the register and in the visitor's hand. */
export async function inHand(
  site: Site,
  visitor: Visitor,
  id: string,
  functions: InstrumentFunction[],
  due: string | null = '2027-12-31',
): Promise<void> {
  const { instruments } = site.deps.storage
  instruments.create({ id, kind: id, serial: 'T-1', functions, calibrationDue: null })
  if (due)
    instruments.addCalibration({ id: `${id}-due`, instrumentId: id, due, at: '2026-01-01T00:00:00.000Z' })
  await visitor.post('/instruments/chosen', { instrument: id, return: '/faults' })
}

/** ±(percent + counts × resolution) on one range. */
export function able(
  unit: string,
  range: number,
  [percent, counts, resolution]: [number, number, number],
  method: Method = 'direct',
  testVoltage: number | null = null,
): InstrumentFunction {
  return { unit, range, accuracy: { percent, counts, resolution }, method, testVoltage }
}

/** All three things confirmed before an insulation tester goes on. */
export const confirmed = { dead: 'yes', ends: 'yes', electronics: 'yes' }
