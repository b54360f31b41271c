import { randomUUID } from 'node:crypto'
import { mkdtempSync } from 'node:fs'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { may, type Right } from '../../server/auth/roles.ts'
import { siteMap } from '../../server/web/routes.ts'
import { knowledgeTarget } from '../support/authoring.ts'
import { knowledgeWithRound } from '../support/rounds.ts'
import { makeSite, people, type Site } from '../support/site.ts'
import type { Visitor } from '../support/visitor.ts'
import { attend, close, find, identify, prove, report } from '../support/walking.ts'
import { deskStories } from './desk-stories.ts'

export type Who = keyof typeof people | null

/** One page as somebody meets it; `name` is fit for a file. */
export interface EveryPage {
  site: Site
  pages: MetPage[]
  unknown: string[]
}

export interface MetPage {
  name: string
  who: Who
  address: string
}

/**
 * Every page of the site map, in each state that draws it differently. `unknown`: paths that name something this file
 * can't fill in; they are to be told here, so that no new page is forgotten by what is held for all of them.
 */
/** `began` is told the site before anything is done at it. */
export async function everyPage(began: (site: Site) => void = () => {}): Promise<EveryPage> {
  const knowledge = knowledgeWithRound()
  const dataDir = mkdtempSync(path.join(tmpdir(), 'fourfoot-pages-'))
  const env = { RATE_PER_MINUTE: '0', DATA_DIR: dataDir }
  const site = await makeSite({ env, knowledgeDir: knowledge.folder })
  began(site)
  const told = await tell(site)
  const unknown: string[] = []
  const pages = siteMap
    .filter(route => route.method === 'get')
    .flatMap(route => {
      const address = filled(route.path, told.known)
      const addresses = told.places[route.path] ?? (address ? { '': address } : null)
      if (!addresses) unknown.push(route.path)
      return Object.entries(addresses ?? {}).map(([state, address]) => ({
        name: nameOf(route.path, state),
        who: told.visitors[`${route.path} ${state}`.trim()] ?? whoMay(route.may),
        address,
      }))
    })
  const nowhere = { name: 'nothing-here', who: 'wren' as const, address: '/nothing/here' }
  return { site, pages: [...pages, nowhere], unknown }
}

/** An exercise that the technician has ended; gives its id. */
function practised({ deps: { practice } }: Site): string {
  const step = { title: 'Supply voltage', found: '0 V AC', minutes: 3 }
  const told = {
    ...{ cause: { key: 'loop-transmitter/loop-broken', title: 'Loop broken', remedy: 'Joint the loop.' } },
    ...{
      known: { title: 'Supply voltage', count: 1 },
      path: [step, step],
      author: [step],
      best: [step],
      came: { author: 'Loop broken', best: 'Loop broken' },
    },
    ...{ how: 'plate', found: false, danger: { title: 'Ended', words: 'It would have been.' }, said: null },
    ...{ misled: [{ title: 'Supply voltage', recorded: '9 V', why: 'The instrument said 0 V AC.' }] },
    ...{ left: ['supply fuse out'], happened: [], waited: 4, minutes: 10 },
  }
  practice?.results.add({
    ...{ id: 'exercise', personId: 'wren', endedAt: '2026-11-02T00:30:00Z', tree: 'dead' },
    ...{ cause: told.cause.key, minutes: 10, found: false, content: JSON.stringify(told) },
  })
  return 'exercise'
}

/** Null when the path names something not known. */
function filled(path: string, known: Record<string, string>): string | null {
  const names = [...path.matchAll(/:(\w+)/g)].map(([, name = '']) => name)
  if (names.some(name => !known[name])) return null
  return path.replace(/:(\w+)/g, (_, name: string) => known[name] ?? '')
}

function nameOf(path: string, state: string): string {
  const words = path
    .replace(/\/:\w+/g, '')
    .replaceAll('/', '-')
    .slice(1)
  return [words || 'first', ...path.split('/').filter(part => part.startsWith(':')), state]
    .filter(Boolean)
    .join('-')
    .replaceAll(':', '')
    .replaceAll(' ', '-')
}

function whoMay(right: 'anyone' | 'signed in' | Right): Who {
  if (right === 'anyone') return null
  if (right === 'signed in') return 'wren'
  const names = Object.keys(people) as (keyof typeof people)[]
  return names.find(name => may(people[name].role, right)) ?? null
}

interface Told {
  known: Record<string, string>
  /** Route → state → address, where one address does not show all. */
  places: Record<string, Record<string, string>>
  visitors: Record<string, Who>
}

/** Walks a dozen faults to where each kind of page is shown. */
async function tell(site: Site): Promise<Told> {
  const wren = await site.as('wren')
  const closed = await closedFault(wren)
  const reported = await report(wren, {
    noticed: 'Blue lamp flashing since the rain began',
    intermittent: 'yes',
  })
  const begun = await started(wren)
  const measured = await started(wren)
  await find(wren, measured, 'supply', '110')
  const looking = await started(wren)
  await leave(wren, looking, 'supply', 'telltale')
  const ended = await started(wren)
  await find(wren, ended, 'supply', '97')
  const held = await started(wren, { protection: 'lost' })
  await find(wren, held, 'supply', 'none')
  const caused = await atCause(wren)
  const proving = await repaired(wren)
  const failed = await repaired(wren)
  await prove(wren, failed, 'supply', '60')
  const choosing = await repaired(wren)
  await prove(wren, choosing, 'supply', '60')
  await wren.post(`/faults/${choosing}/rejections`, { reason: 'still 60 V with a whole fuse' })
  const swapping = await started(wren)
  await leave(wren, swapping, 'supply', 'telltale')
  await identify(wren, swapping)
  await find(wren, swapping, 'telltale', '=dark')
  const apart = await takenApart(wren)
  const handed = await takenApart(wren)
  const handover = randomUUID()
  await wren.post(`/faults/${handed}/handovers`, {
    ...{ id: handover, nextStep: 'insulation test', words: 'the clip on the near rail is loose' },
  })
  const finding = site.deps.storage.faults.get(measured).findings[0]?.id ?? ''
  const at = (fault: string, rest: string) => `/faults/${fault}/${rest}`
  const desk = await deskStories(site, measured, finding)
  const texts = await knowledgeTarget(site, measured)
  site.deps.storage.people.update('rue', { given: 'PIN and password' })
  return {
    known: {
      ...{ fault: begun, finding, handover, position: 'up', site: 'site', person: 'moss', tree: 'dead' },
      ...{ check: 'supply', ...desk, result: practised(site) },
      ...texts,
    },
    places: {
      '/import/:import': { '': `/import/${desk.import}`, 'given-up': `/import/${desk.givenUp}` },
      '/sign-in': { '': '/sign-in', 'signed-in': '/sign-in?return=%2Ffaults' },
      '/rounds/:visit/checks/:tree/:check': { '': `/rounds/${desk.visit}/checks/round/supply-at-the-visit` },
      '/rounds/:visit/findings/:finding/correction': {
        '': `/rounds/${desk.visit}/findings/${desk.seen}/correction`,
      },
      '/rounds/:visit/next': {},
      '/setup': {},
      '/export/:file': { '': '/export/faults.csv' },
      '/replays/:replay/:fault': { '': `/replays/${desk.replay}/${closed}` },
      '/': {},
      '/practice': { '': '/practice' },
      '/positions': { '': '/positions', found: '/positions?search=WH-3' },
      '/faults/new': { '': '/faults/new?position=up' },
      '/faults/:fault': {
        open: `/faults/${begun}`,
        closed: `/faults/${closed}`,
        reported: `/faults/${reported}`,
      },
      '/faults/:fault/next': {},
      '/faults/:fault/record': { closed: at(closed, 'record'), open: at(apart, 'record') },
      '/faults/:fault/status': { begun: at(begun, 'status'), apart: at(apart, 'status') },
      '/faults/:fault/likely': { '': at(measured, 'likely') },
      '/faults/:fault/card': { '': at(reported, 'card') },
      '/faults/:fault/attendances/new': { '': at(reported, 'attendances/new') },
      '/faults/:fault/resume': { '': at(apart, 'resume') },
      '/faults/:fault/hold': { '': at(held, 'hold') },
      '/faults/:fault/release': { '': at(held, 'release') },
      '/faults/:fault/identity': { '': at(measured, 'identity') },
      '/faults/:fault/checks/:tree/:check': {
        measure: at(begun, 'checks/dead/supply'),
        observe: at(looking, 'checks/dead/telltale'),
        found: at(measured, 'checks/dead/supply'),
        'no-limit': at(apart, 'checks/dead/loop-insulation'),
      },
      '/faults/:fault/findings/:finding/correction': {
        '': at(measured, `findings/${finding}/correction`),
        row: at(measured, `findings/${finding}/correction?row=other`),
      },
      '/faults/:fault/choice': { '': at(choosing, 'choice') },
      '/faults/:fault/cause': { '': at(caused, 'cause') },
      '/faults/:fault/end': { '': at(ended, 'end') },
      '/faults/:fault/repairs/new': {
        swap: at(swapping, 'repairs/new'),
        other: at(caused, 'repairs/new?action=other'),
      },
      '/faults/:fault/put-back': { '': at(apart, 'put-back') },
      '/faults/:fault/proof': { '': at(proving, 'proof'), failed: at(failed, 'proof') },
      '/faults/:fault/proof/:tree/:check': { '': at(proving, 'proof/dead/supply') },
      '/faults/:fault/handovers/new': { '': at(apart, 'handovers/new') },
      '/faults/:fault/handovers/:handover': {
        'to-take': at(handed, `handovers/${handover}`),
        given: at(handed, `handovers/${handover}`),
      },
      '/faults/:fault/closure': { '': at(proving, 'closure') },
    },
    visitors: {
      '/rounds/:visit/checks/:tree/:check': 'moss',
      '/rounds/:visit/findings/:finding/correction': 'moss',
      '/rounds/:visit/end': 'moss',
      '/me/own': 'rue',
      '/sign-in signed-in': 'wren',
      '/faults/:fault/handovers/:handover to-take': 'moss',
    },
  }
}

async function started(wren: Visitor, fields: Record<string, string> = {}): Promise<string> {
  const fault = await report(wren, fields)
  await attend(wren, fault)
  return fault
}

async function atCause(wren: Visitor): Promise<string> {
  const fault = await started(wren)
  await find(wren, fault, 'supply', 'none')
  await identify(wren, fault)
  return fault
}

async function repaired(wren: Visitor): Promise<string> {
  const fault = await atCause(wren)
  await wren.post(`/faults/${fault}/repairs`, {
    action: 'fuse replaced',
    words: 'same rating fitted',
    blewIt: 'a strand',
  })
  return fault
}

async function takenApart(wren: Visitor): Promise<string> {
  const fault = await started(wren)
  await find(wren, fault, 'supply', '110')
  await identify(wren, fault)
  await find(wren, fault, 'loop-resistance', '1.2')
  return fault
}

async function closedFault(wren: Visitor): Promise<string> {
  const fault = await repaired(wren)
  await prove(wren, fault, 'supply', '110')
  await wren.post(`/faults/${fault}/proof/symptom`, { word: 'gone' })
  await close(wren, fault, people.wren.name, { outcome: 'proven cause', changed: 'supply fuse' })
  return fault
}

function leave(wren: Visitor, fault: string, from: string, to: string) {
  return wren.post(`/faults/${fault}/departures`, {
    ...{ from: `dead#${from}`, to: `dead#${to}`, reason: 'saw it from the gate' },
  })
}
