// How it stands with the depot, in words: what is saved here, what waits, since when there is no signal.

import { createTimes } from '../../times.ts'
import type { TabletState } from '../../web/host/draw-page.ts'
import * as store from './store.ts'

let now: store.Contact | null = null

export async function contact(): Promise<store.Contact> {
  now ??= (await store.readKept('contact')) ?? { goodAt: 0, lostAt: null, savedAt: null }
  return now
}

async function set(change: Partial<store.Contact>): Promise<void> {
  now = { ...(await contact()), ...change }
  await store.keep('contact', now)
}

export async function noteSignal(): Promise<void> {
  const { goodAt, lostAt } = await contact()
  if (lostAt !== null || Date.now() - goodAt > 60_000) await set({ goodAt: Date.now(), lostAt: null })
}

export async function noteLost(): Promise<void> {
  if ((await contact()).lostAt === null) await set({ lostAt: Date.now() })
}

export async function noteSaved(): Promise<void> {
  await set({ savedAt: Date.now() })
}

/** For the head of each page that the tablet draws. */
export function contactWords(unsent: store.Act[], shift: store.Shift): TabletState {
  const times = createTimes(shift.about.settings.timeZone)
  const at = (ms: number | null | undefined) =>
    ms ? times.clock(new Date(ms - shift.clockAheadMs).toISOString()) : null
  return {
    saved: at(now?.savedAt),
    unsent: unsent.length,
    lost: at(now?.lostAt),
    copied: times.moment(shift.about.madeAt),
    late: unsent.some(act => Date.now() - shift.clockAheadMs - Date.parse(act.doneAt) > 2 * 3600_000),
  }
}
