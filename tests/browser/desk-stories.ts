import { randomUUID } from 'node:crypto'
import { knowledgeTarget } from '../support/authoring.ts'
import { jpeg } from '../support/pictures.ts'
import type { Site } from '../support/site.ts'
import type { Visitor } from '../support/visitor.ts'

/** Something behind every address of the engineer's, the authors' and the rounds' pages: name in the path → id. */
export async function deskStories(
  site: Site,
  fault: string,
  finding: string,
): Promise<Record<string, string>> {
  const { instruments, reviews } = site.deps.storage
  instruments.create({ id: 'meter', kind: 'multimeter', serial: 'T-1', functions: [], calibrationDue: null })
  const open = { owner: 'isla', cause: '', action: 'watch it', due: null, doneOn: null, result: '' }
  reviews.open({ id: 'review', positionId: 'up', by: 'isla', why: 'third in a year', ...open, closed: false })
  return {
    ...(await knowledgeTarget(site, fault)),
    ...(await imported(await site.as('isla'))),
    givenUp: givenUp(site),
    ...(await visited(await site.as('moss'))),
    photo: await photographed(site, fault, finding),
    ...{
      instrument: 'meter',
      calculator: 'loop-resistance',
      tablet: 'other',
      review: 'review',
      unit: 'unit',
    },
  }
}

/** A spreadsheet brought in, and another on its way. */
async function imported(isla: Visitor): Promise<Record<string, string>> {
  const done = await send(isla, 'Location;Mileage\nAckerhalt;0,12\n')
  await isla.post(`${done}/columns`, { ...(await chosen(isla, done)) })
  const { location } = await isla.post(`${done}/load`, {})
  const waiting = await send(isla, 'Location;Mileage\nBrackenhalt;0,18\n')
  await isla.post(`${waiting}/columns`, { ...(await chosen(isla, waiting)) })
  return { import: location.split('/').at(-1) ?? '', file: waiting.split('/').at(-1) ?? '' }
}

/** An import that came to nothing. */
function givenUp({ deps: { storage, library } }: Site): string {
  const file = { id: 'given-up', by: 'isla', fileName: 'faults.csv', sha256: '', columns: {} }
  storage.imports.begin({ ...file, editionId: library.current().id }, 'past faults').open(0)
  storage.imports.sweep(1, 'cancelled')
  return file.id
}

async function send(isla: Visitor, text: string): Promise<string> {
  const sent = isla.agent.post('/import').set('Sec-Fetch-Site', 'same-origin').field('subject', 'sites')
  const { headers } = await sent.attach('file', Buffer.from(text), 'depot.csv')
  return headers.location ?? ''
}

/** What the page of columns guesses. */
async function chosen(isla: Visitor, at: string): Promise<Record<string, string>> {
  const { html } = await isla.get(at)
  const selects = html.matchAll(/<select[^>]*name="([^"]+)"[^>]*>([\s\S]*?)<\/select>/g)
  return Object.fromEntries(
    [...selects].map(([, name, body = '']) => [name, /value="([^"]*)"\s+selected/.exec(body)?.[1] ?? '']),
  )
}

/** A round that has come to its second check. */
async function visited(moss: Visitor): Promise<Record<string, string>> {
  const visit = randomUUID()
  await moss.post('/positions/up/rounds', { id: visit, tree: 'round', typed: 'WH-3-U' })
  const found = { tree: 'round', check: 'telltale', how: 'observation', word: 'lit' }
  const seen = randomUUID()
  await moss.post(`/rounds/${visit}/findings`, { ...found, id: seen })
  return { visit, seen }
}

async function photographed(site: Site, fault: string, finding: string): Promise<string> {
  const wren = await site.as('wren')
  const sent = wren.agent.post(`/faults/${fault}/photos`).set('Sec-Fetch-Site', 'same-origin')
  const id = randomUUID()
  await sent
    .field('id', id)
    .field('finding', finding)
    .field('words', 'the clip')
    .attach('photo', jpeg, 'a.jpg')
  return id
}
