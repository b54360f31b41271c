import { randomUUID } from 'node:crypto'
import type { Visitor } from './visitor.ts'

/** Reports a fault at a position of the small test railway; gives its id. */
export async function report(visitor: Visitor, fields: Record<string, string> = {}): Promise<string> {
  const id = randomUUID()
  await visitor.post('/faults', {
    id,
    position: 'up',
    tree: 'dead',
    noticed: 'Blue lamp flashing',
    reportedBy: 'signaller, panel 2',
    protection: 'kept',
    ...fields,
  })
  return id
}

/** Starts an attendance with all that must be said before; the plate is read too, unless `fields` say otherwise. */
export async function attend(visitor: Visitor, fault: string, fields: Record<string, string> = {}) {
  const { html } = await visitor.get(`/faults/${fault}/record`)
  return visitor.post(`/faults/${fault}/attendances`, {
    seen: 'yes',
    spokenTo: 'signaller, panel 2',
    protection: 'line blocked',
    isolation: 'nothing',
    plate: /plate <b class="code">([^<]*)/.exec(html)?.[1] ?? '',
    ...fields,
  })
}

/** Records what was found at a check: a reading, `=word` for an observation, or `?` for cannot tell. */
export function find(
  visitor: Visitor,
  fault: string,
  check: string,
  found: string,
  fields: Record<string, string> = {},
) {
  const how = found === '?' ? 'cannot tell' : found.startsWith('=') ? 'observation' : 'reading'
  const answer: Record<string, string> =
    how === 'observation' ? { word: found.slice(1) } : how === 'reading' ? { text: found } : {}
  return visitor.post(`/faults/${fault}/findings`, { tree: 'dead', check, how, ...answer, ...fields })
}

export function identify(visitor: Visitor, fault: string, typed = 'WH-3-U') {
  return visitor.post(`/faults/${fault}/identity`, { typed })
}

export function prove(visitor: Visitor, fault: string, check: string, found: string) {
  const answer: Record<string, string> = found.startsWith('=') ? { word: found.slice(1) } : { text: found }
  return visitor.post(`/faults/${fault}/proof/dead/${check}`, answer)
}

export async function restoreAll(visitor: Visitor, fault: string): Promise<number> {
  const { html } = await visitor.get(`/faults/${fault}/put-back`)
  const keys = [...html.matchAll(/name="itemKey" value="([^"]+)"/g)].map(match => match[1] ?? '')
  for (const itemKey of keys)
    await visitor.post(`/faults/${fault}/restorations`, { itemKey, how: 'restored' })
  return keys.length
}

/** Closes with the two pages: read once more, then sign. */
export async function close(visitor: Visitor, fault: string, name: string, fields: Record<string, string>) {
  const form = { id: randomUUID(), changed: 'nothing', words: 'as recorded', ...fields }
  const review = await visitor.post(`/faults/${fault}/closure/review`, form)
  if (review.status !== 200) return review
  return visitor.post(`/faults/${fault}/closure`, { ...form, signatureId: randomUUID(), printedName: name })
}
