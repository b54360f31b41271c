// The shift in this worker's memory: a database made of the copy and of the acts since.

import builtFacts from 'built:facts'
import compiledViews from 'built:views'
import sqlite3InitModule from '@sqlite.org/sqlite-wasm'
import { migrate } from '../../storage/engine/migrate.ts'
import { viewsOf } from '../../web/host/print-views.ts'
import type { Copy } from '../../web/tablet/copy.ts'
import { openCarried, withoutNumbers } from '../carried.ts'
import { type Asked, createProgram, type Drawn, type Program } from '../program.ts'
import { openInMemory, type TabletDatabase } from '../sqlite.ts'
import { cached } from './assets.ts'
import { contact, contactWords, noteSaved } from './contact.ts'
import * as store from './store.ts'

interface Memory {
  shift: store.Shift
  program: Program
  acts: store.Act[]
  jar: Record<string, string>
}

let memory: Memory | null = null
let last: Promise<unknown> = Promise.resolve()

/** One after the other: what a request shows must not be half of what another one writes. */
export function inTurn<T>(task: () => Promise<T>): Promise<T> {
  const done = last.then(task, task)
  last = done.catch(() => {})
  return done
}

/** The shift that is carried; null when there is none, or it is over: then its copy goes. */
export async function shiftNow(): Promise<store.Shift | null> {
  const shift = memory?.shift ?? (await store.readKept('shift'))
  if (!shift) return null
  if (rightTime(shift) < shift.until) return shift
  await drop()
  return null
}

/** UTC ISO text by the tablet's clock, put right. */
function rightTime({ clockAheadMs }: store.Shift): string {
  return new Date(Date.now() - clockAheadMs).toISOString()
}

/** A clock that was put back meanwhile dates no act before the one before it. */
function timeOfNext(shift: store.Shift, acts: store.Act[]): string {
  return [rightTime(shift), ...acts.map(({ doneAt }) => doneAt)].sort().at(-1) ?? ''
}

let loading: Promise<Memory> | null = null

/** One memory, however many ask for it at once: acts in a second one would be hidden from the first. */
async function loaded(): Promise<Memory> {
  if (memory) return memory
  loading ??= fromDisk()
  const mine = loading
  try {
    const made = await mine
    if (loading === mine) memory = made
    return memory ?? made
  } finally {
    if (loading === mine) loading = null
  }
}

/** The next request reads the disk again. */
function forget(): void {
  memory = null
  loading = null
}

async function fromDisk(): Promise<Memory> {
  const [shift, base, jar, acts] = await Promise.all([
    store.readKept('shift'),
    store.readKept('base'),
    store.readKept('jar'),
    store.readActs(),
  ])
  if (!shift || !base) throw new Error('nothing is carried')
  const db = openInMemory(await sqlite(), base)
  // A newer program meets the copy that an older one took.
  if (shift.about.schema < builtFacts.migrations.length) {
    migrate(db, builtFacts.migrations, rightTime(shift))
    withoutNumbers(db)
  }
  const made = { shift, program: programOf(db, shift), acts, jar: jar ?? {} }
  for (const act of acts) if (act.token === shift.token) await made.program.answer(askedAgain(act))
  return made
}

function programOf(db: TabletDatabase, shift: store.Shift): Program {
  return createProgram({
    db,
    about: shift.about,
    clock: () => new Date(Date.now() - shift.clockAheadMs),
    log: console,
    views: viewsOf(compiledViews),
    assets: builtFacts.assets,
    headers: builtFacts.headers,
    state: () => contactWords(unsentIn(memory?.acts ?? []), shift),
  })
}

function askedAgain({ address, form, cookies, doneAt }: store.Act): Asked {
  return { method: 'POST', address, body: form, cookies, wantsJson: false, doneAt }
}

let started: ReturnType<typeof sqlite3InitModule> | null = null

function sqlite(): ReturnType<typeof sqlite3InitModule> {
  started ??= (sqlite3InitModule as (options: object) => ReturnType<typeof sqlite3InitModule>)({
    instantiateWasm(imports: WebAssembly.Imports, done: (instance: WebAssembly.Instance) => void) {
      void WebAssembly.instantiateStreaming(cached(builtFacts.sqlite), imports).then(made =>
        done(made.instance),
      )
      return {}
    },
  })
  return started
}

/** Whether the tablet answers this address. */
export async function carries(method: string, address: string): Promise<boolean> {
  return (await loaded()).program.carries(method, address)
}

/** A page from the tablet. */
export async function show(asked: Omit<Asked, 'cookies'>): Promise<Drawn> {
  const { program, jar } = await loaded()
  const drawn = await program.answer({ ...asked, cookies: jar })
  await keepCookies(drawn, asked.method)
  return drawn
}

/** A page that says why something can't be had. */
export async function explain(asked: Omit<Asked, 'cookies'>, error: unknown): Promise<Drawn> {
  const { program, jar } = await loaded()
  return program.explain({ ...asked, cookies: jar }, error)
}

/**
 * Records a form on the tablet: in memory, then on disk, then it is answered. `sent`: the depot has it already. When it
 * can't be kept, memory is thrown away with it, and this rejects.
 */
export async function record(asked: Omit<Asked, 'cookies'>, { sent }: { sent: boolean }): Promise<Drawn> {
  const { program, acts, jar, shift } = await loaded()
  const doneAt = timeOfNext(shift, acts)
  const drawn = await program.answer({ ...asked, cookies: jar, doneAt })
  const id = drawn.written
  if (id !== null && !acts.some(act => act.id === id)) {
    const act: store.Act = {
      id,
      seq: Math.max(0, ...acts.filter(({ token }) => token === shift.token).map(({ seq }) => seq)) + 1,
      token: shift.token,
      address: asked.address,
      form: asked.body,
      cookies: jar,
      doneAt,
      clockAheadMs: shift.clockAheadMs,
      copiedAt: shift.about.madeAt,
      edition: shift.about.editions[0]?.id,
      sent,
      apart: null,
    }
    try {
      await store.addAct(act)
    } catch (error) {
      forget()
      throw error
    }
    acts.push(act)
    await noteSaved()
  }
  await keepCookies(drawn, asked.method)
  return drawn
}

/** A worker sees no cookies: those of its own answers are kept here. */
async function keepCookies({ cookies }: Drawn, method: string): Promise<void> {
  if (!memory) return
  const jar = { ...memory.jar }
  // Told once, to the page that follows.
  if (method === 'GET') delete jar.kept
  for (const { name, value } of cookies) {
    if (value === null) delete jar[name]
    // Only what the depot has is sent.
    else if (name !== 'sent') jar[name] = value
  }
  if (JSON.stringify(jar) === JSON.stringify(memory.jar)) return
  memory.jar = jar
  await store.keep('jar', jar)
}

const unsentIn = (acts: store.Act[]) => acts.filter(act => !act.sent)

/** In order. */
export async function unsent(): Promise<store.Act[]> {
  return unsentIn(memory?.acts ?? (await store.readActs()))
}

export async function markSent(act: store.Act, apart: string | null): Promise<void> {
  const done = { ...act, sent: true, apart }
  await store.putAct(done)
  if (memory) memory.acts = memory.acts.map(one => (one.id === act.id ? done : one))
}

/** Those the depot has acknowledged. */
export async function sent(): Promise<store.Act[]> {
  return (memory?.acts ?? (await store.readActs())).filter(act => act.sent)
}

/** Takes a copy in, whole, in place of the one before; the acts of this tablet that are `within` it are let go. */
export async function takeIn(
  shift: store.Shift,
  { tables, ...about }: Copy,
  within: store.Act[],
): Promise<void> {
  if (about.schema !== builtFacts.migrations.length)
    throw new Error('The depot runs another version of the program. Load the page again.')
  const db = openInMemory(await sqlite())
  openCarried(db, { migrations: builtFacts.migrations, tables, now: about.madeAt })
  const base = db.bytes()
  db.close()
  await store.replaceCopy({ ...shift, about }, base, about.cookies, within)
  forget()
}

export async function lock(locked: boolean): Promise<void> {
  const shift = await shiftNow()
  if (!shift || shift.locked === locked) return
  const changed = { ...shift, locked }
  if (memory) memory.shift = changed
  await store.keep('shift', changed)
}

export async function drop(): Promise<void> {
  forget()
  await store.dropCopy()
}

export { contact }
