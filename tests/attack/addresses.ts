import { randomUUID } from 'node:crypto'
import type { Route } from '../../server/web/routes.ts'
import { knowledgeTarget } from '../support/authoring.ts'
import { makeSite, type Site } from '../support/site.ts'
import { attend, find, report } from '../support/walking.ts'

export interface Target {
  site: Site
  /** A fault in Wren Aldous's hand, with one finding. */
  fault: string
  /** The address of a route with everything it names really there. */
  addressOf(route: Route): string
}

/** A site with something behind every kind of address; the limit on requests is off. */
export async function makeTarget(env: Record<string, string> = {}): Promise<Target> {
  const site = await makeSite({ env: { RATE_PER_MINUTE: '0', ...env } })
  const wren = await site.as('wren')
  const fault = await report(wren)
  await attend(wren, fault)
  await find(wren, fault, 'supply', '110')
  const finding = site.deps.storage.faults.get(fault).findings[0]?.id ?? ''
  const handover = randomUUID()
  await wren.post(`/faults/${fault}/handovers`, { id: handover, nextStep: 'go on', words: 'end of shift' })
  // Taken back, so that the fault is in hand.
  await wren.post(`/faults/${fault}/handovers/${handover}/withdrawal`, {})
  const { instruments } = site.deps.storage
  instruments.create({ id: 'meter', kind: 'multimeter', serial: 'T-1', functions: [], calibrationDue: null })
  const { visits, imports } = site.deps.storage
  const editionId = site.deps.library.current().id
  visits.start({ id: 'visit', positionId: 'up', tree: 'dead', editionId, by: 'wren', plate: 'WH-3-U' })
  const file = { fileName: 'depot.csv', sha256: '', columns: {}, leftOut: 0 }
  imports.load({ ...file, id: 'import', by: 'isla', editionId }, { subject: 'sites', rows: [] })
  const state = { owner: 'isla', cause: '', action: '', due: null, doneOn: null, result: '', closed: false }
  site.deps.storage.reviews.open({ id: 'review', positionId: 'up', by: 'isla', why: 'again', ...state })
  const known: Record<string, string> = {
    ...{ unit: 'unit', review: 'review' },
    ...{ visit: 'visit', import: 'import', file: 'sites.csv' },
    ...{
      fault,
      finding,
      handover,
      position: 'up',
      site: 'site',
      person: 'moss',
      tree: 'dead',
      check: 'supply',
      tablet: 'other',
      instrument: 'meter',
      calculator: 'loop-resistance',
    },
    ...(await knowledgeTarget(site, fault)),
  }
  return {
    site,
    fault,
    addressOf: ({ path }) => path.replace(/:(\w+)/g, (_, name: string) => known[name] ?? 'unknown'),
  }
}
