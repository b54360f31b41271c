// Two tablets without signal and the depot at one fault: whatever the order in which their acts arrive, the record must be
// the same, with every act in it once.

import { randomUUID } from 'node:crypto'
import { hashToken } from '../../server/auth/tokens.ts'
import { actAs } from '../../server/storage/engine/acting.ts'
import { openDatabase } from '../../server/storage/engine/database.ts'
import { createStorage } from '../../server/storage/storage.ts'
import { idsOf } from '../../server/walk/known.ts'
import { placeKey } from '../../server/walk/place.ts'
import { walked } from '../../server/walk/stage.ts'
import type { Deps } from '../../server/web/deps.ts'
import { receive } from '../../server/web/tablet/acts.ts'
import { makeSite, people, type Site } from './site.ts'
import { attend, identify, report } from './walking.ts'

export interface Tried {
  tried: number
  /** What differed or was missing, each with its order. */
  broken: string[]
}

type Random = () => number

/** Numbers from 0 to 1, the same for the same seed: the “minimal standard” of Park and Miller (1988), from memory. */
export function randomFrom(seed: number): Random {
  let state = seed
  return () => {
    state = (state * 16_807) % 2_147_483_647
    return state / 2_147_483_647
  }
}
/** Something done at its time, on one of the tablets or at the depot; `arrive` brings it to the depot's record. */
interface Act {
  id: string
  arrive(deps: Deps): Promise<void>
}

const orders = 20

/** Tries so many orders of arrival, of many shifts, with `random` from 0 to 1. */
export async function triedOrders(count: number, random: Random): Promise<Tried> {
  const scene = await makeScene()
  const broken: string[] = []
  let tried = 0
  while (tried < count) {
    const lines = shiftOf(scene, random)
    const reference = await arrived(scene, lines.flat())
    for (let turn = 0; turn < orders && tried < count; turn += 1) {
      const order = interleaved(lines, random)
      const outcome = await arrived(scene, order)
      if (outcome !== reference) broken.push(`${order.map(({ id }) => id)}\n${reference}\n${outcome}`)
      tried += 1
    }
  }
  scene.site.db.close()
  return { tried, broken }
}

interface Scene {
  site: Site
  fault: string
  bytes: Buffer
  /** When the second tablet's copy was made: before anybody attended. */
  early: string
}

/** Wren has the fault in hand on her tablet; Tam's tablet knows only that it was reported. */
async function makeScene(): Promise<Scene> {
  const site = await makeSite({ env: { RATE_PER_MINUTE: '0' } })
  const { storage, clock } = site.deps
  storage.people.create({ ...people.moss, id: 'tam', name: 'Tam Orrey', pinHash: 'none' })
  const wren = await site.as('wren')
  const fault = await report(wren)
  const early = clock().toISOString()
  await attend(wren, fault)
  await identify(wren, fault)
  for (const personId of ['wren', 'tam']) {
    const until = new Date(clock().getTime() + 43_200_000).toISOString()
    storage.shifts.start({ id: personId, personId, tabletId: null, tokenHash: hashToken(personId), until })
  }
  return { site, fault, early, bytes: site.db.serialize() }
}

/** What each does, in order: Wren and Tam without signal, Moss at the depot. */
function shiftOf({ site, fault, early }: Scene, random: Random): Act[][] {
  const start = site.deps.clock().getTime()
  const at = (minute: number) => new Date(start + Math.floor((minute + random()) * 60_000)).toISOString()
  const copied = new Date(start).toISOString()
  const deeds = (count: number, made: { token: string; copiedAt: string; first?: Act }) => {
    const acts = made.first ? [made.first] : []
    const open: string[] = []
    const left = [...walkable]
    for (let turn = 1; turn <= count; turn += 1) {
      const [path, fields] = deed(turn, open, left, random)
      acts.push(
        late({ ...made, seq: turn + 1, path: `/faults/${fault}/${path}`, fields, doneAt: at(turn * 3) }),
      )
    }
    return acts
  }
  const path = `/faults/${fault}/attendances`
  const begins = { token: 'tam', copiedAt: early, seq: 1, path, fields: beforeStart, doneAt: at(0) }
  return [
    deeds(2 + Math.floor(random() * 5), { token: 'wren', copiedAt: copied }),
    deeds(1 + Math.floor(random() * 5), { token: 'tam', copiedAt: early, first: late(begins) }),
    random() < 0.5 ? [] : takenOver(fault, at(4), at(9)),
  ]
}

const beforeStart = { seen: 'yes', spokenTo: 'panel 2', protection: 'line blocked', isolation: 'nothing' }

/** The checks of the tree, each with the beginning of a reading that leads on. */
const walkable: [check: string, text: string][] = [
  ['supply', '110.'],
  ['loop-resistance', '1.'],
  ['loop-insulation', '20.'],
]

/** A reading, something taken off, or the last thing put back. */
function deed(
  turn: number,
  open: string[],
  left: [check: string, text: string][],
  random: Random,
): [path: string, fields: Record<string, string>] {
  const id = randomUUID()
  const choice = random()
  const last = open.at(-1)
  if (choice < 0.3 && last) {
    open.pop()
    return ['restorations', { id, itemKey: `item:${last}`, how: 'restored' }]
  }
  const next = left[0]
  if (choice < 0.5 || !next) {
    open.push(id)
    return ['disturbances', { id, item: `lead ${turn}` }]
  }
  left.shift()
  const [check, text] = next
  return [
    'findings',
    { id, tree: 'dead', check, how: 'reading', text: `${text}${Math.floor(random() * 10)}` },
  ]
}

interface Sent {
  token: string
  copiedAt: string
  seq: number
  path: string
  fields: Record<string, string>
  doneAt: string
}

function late({ token, copiedAt, seq, path, fields, doneAt }: Sent): Act {
  const id = fields.id ?? randomUUID()
  const form = new URLSearchParams({ ...fields, id }).toString()
  const body = { shift: token, act: id, seq: String(seq), path, form, cookies: '', doneAt, copiedAt }
  return {
    id,
    arrive: async deps => void (await receive(deps)(asked(body))),
  }
}

/** Moss takes the fault over at the depot and takes something off. */
function takenOver(faultId: string, startedAt: string, at: string): Act[] {
  const attendanceId = randomUUID()
  const item = { id: randomUUID(), faultId, attendanceId, by: 'moss', item: 'fuse 9' }
  const said = { spokenTo: 'panel 2', protectionWords: 'line blocked', isolationWords: 'nothing' }
  const attendance = { id: attendanceId, faultId, personId: 'moss', seenHistoryAt: startedAt, ...said }
  const moss = (doneAt: string, write: (deps: Deps) => void): ((deps: Deps) => Promise<void>) => {
    return async deps => actAs({ personId: 'moss', tabletId: null, doneAt }, () => write(deps))
  }
  return [
    {
      id: attendanceId,
      arrive: moss(startedAt, ({ storage }) =>
        storage.transaction(() => {
          const open = storage.attendances.openOf(faultId)
          if (open) storage.attendances.end(open.id, 'taken over', undefined, 'out of reach')
          storage.attendances.start({ ...attendance, expectedFinish: null })
        }),
      ),
    },
    { id: item.id, arrive: moss(at, ({ storage }) => void storage.disturbances.add(item)) },
  ]
}

function asked(body: Record<string, string>) {
  const visitor = { person: null, tablet: null, look: 'auto' as const, warnings: [] }
  const nothing = { params: {}, query: {}, cookies: {}, wantsJson: true, origin: '', ip: '' }
  const upload = async () => {
    throw new Error('no file')
  }
  return { ...nothing, id: 'act', method: 'POST', path: '', address: '', body, visitor, upload }
}

/** Each keeps its own order. */
function interleaved(lines: Act[][], random: Random): Act[] {
  const left = lines.map(line => [...line])
  const order: Act[] = []
  while (left.some(line => line.length > 0)) {
    const line = left[Math.floor(random() * left.length)]
    const act = line?.shift()
    if (act) order.push(act)
  }
  return order
}

/** What the depot's record says in the end, without who had the fault in hand when; with each act that is not in it once. */
async function arrived({ site, fault, bytes }: Scene, order: Act[]): Promise<string> {
  const db = openDatabase(bytes)
  const late = () => new Date(Date.parse('2026-11-02T12:00:00Z'))
  const deps: Deps = { ...site.deps, clock: late, storage: createStorage(db, late) }
  for (const act of order) await act.arrive(deps)
  const record = deps.storage.faults.get(fault)
  const { knowledge } = deps.library.current()
  const { walk, disturbed } = walked(knowledge, record.fault.tree, record)
  const ids = idsOf(record)
  const apart = deps.storage.shifts.listLate(fault).filter(one => one.apart !== null)
  const missing = order.filter(
    ({ id }) => [...ids, ...apart.map(one => one.id)].filter(one => one === id).length !== 1,
  )
  db.close()
  return JSON.stringify({
    missing: missing.map(({ id }) => id),
    apart: apart.map(one => [one.id, one.apart]),
    ids,
    findings: record.findings.map(({ attendanceId: _, ...finding }) => finding),
    others: [record.disturbances, record.restorations, record.identities],
    place: placeKey(walk.place),
    path: walk.path.map(({ because }) => because),
    disturbed: disturbed.map(({ key, state }) => [key, state]),
  })
}
