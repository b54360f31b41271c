// The service worker's own text, run in this process: over a store that outlives it, and a network that fails as told.

import { readFileSync } from 'node:fs'
import path from 'node:path'
import { IDBFactory as FDBFactory } from 'fake-indexeddb'
import { buildWorker } from '../../server/web/host/middleware/tablet-worker.ts'
import type { Site } from './site.ts'
import type { Visitor } from './visitor.ts'

const root = path.join(import.meta.dirname, '../..')
const wasm = readFileSync(path.join(root, 'node_modules/@sqlite.org/sqlite-wasm/dist/sqlite3.wasm'))
const origin = 'https://depot.test'
let built: Promise<string> | null = null

/** What becomes of a request on its way. `ask` asks the depot; what is thrown is a connection that broke. */
export type Network = (address: string, ask: () => Promise<Response>) => Promise<Response>

export const good: Network = (_, ask) => ask()
export const gone: Network = async () => {
  throw new TypeError('Failed to fetch')
}

/** What a page gets: where a redirect leads, or what it shows. */
export interface Given {
  status: number
  location: string
  text: string
}

export interface State {
  carrying: boolean
  person: string | null
  unsent: number
  lostAt: number | null
  trouble: string | null
}

export interface TabletBrowser {
  network: Network
  /** How far its clock is ahead. */
  clockAheadMs: number
  /** A message of a page, and how it stands afterwards. */
  tell(words: string): Promise<State>
  get(address: string): Promise<Given>
  /** A form, sent as the page's own outbox does (as JSON), or as a page without scripts. */
  post(address: string, fields: Record<string, string>, plainly?: boolean): Promise<Given>
  /** Resolves when nothing is under way any more. */
  settle(): Promise<void>
  /** The browser dies at the so-many-th step from now at the network or the disk; whoever waits for it is told so. */
  killAfter(steps: number): void
  /** It dies now, and is started again; also with the text of another program. */
  restart(text?: string): void
  /** Takes the text of a newer program, as a browser does that finds one. */
  install(text: string): Promise<void>
}

export function workerText(): Promise<string> {
  built ??= buildWorker(path.join(root, 'views'), false)
  return built
}

/** A browser with the worker of this program, for whom `visitor` has signed in. */
export async function tabletBrowser(site: Site, visitor: Visitor): Promise<TabletBrowser> {
  const disk = new FDBFactory()
  const files = new Map<string, Map<string, Uint8Array>>()
  let text = await workerText()

  function startLife(program: string): Life {
    const made = new Life()
    const fetchHere = made.fetching((asked, init) => toDepot(visitor, browser, asked, init))
    made.run(program, {
      indexedDB: made.disk(disk),
      fetch: fetchHere,
      caches: cachesIn(files, fetchHere),
      Date: clockOf(() => site.deps.clock().getTime() + browser.clockAheadMs),
    })
    return made
  }

  const browser: TabletBrowser = {
    network: good,
    clockAheadMs: 0,
    tell: words => life.tell(words),
    get: address => life.ask(address, { headers: { Accept: 'text/html' } }),
    post: (address, fields, plainly = false) =>
      life.ask(address, {
        method: 'POST',
        body: new URLSearchParams(fields),
        headers: { Accept: plainly ? 'text/html' : 'application/json' },
      }),
    settle: () => life.settle(),
    killAfter: steps => life.killAfter(steps),
    restart(other = text) {
      life.kill()
      text = other
      life = startLife(text)
    },
    async install(newer) {
      const next = startLife(newer)
      await next.install()
      life.kill()
      text = newer
      life = next
    },
  }
  let life = startLife(text)
  return browser
}

type Listener = (event: Record<string, unknown>) => void
type Fetch = (asked: Request | string, init?: RequestInit) => Promise<Response>

/** One run of a worker, from its start until it is killed. */
class Life {
  readonly #listeners = new Map<string, Listener>()
  readonly #underWay = new Set<Promise<unknown>>()
  readonly #open: IDBDatabase[] = []
  #stepsLeft = Number.POSITIVE_INFINITY
  #dead = false
  #tellDead: (error: Error) => void = () => {}
  readonly #death: Promise<never>

  constructor() {
    this.#death = new Promise((_, reject) => {
      this.#tellDead = reject
    })
    this.#death.catch(() => {})
  }

  run(program: string, globals: Record<string, unknown>): void {
    const self = {
      location: { origin, href: `${origin}/tablet-worker.js` },
      addEventListener: (type: string, listener: Listener) => this.#listeners.set(type, listener),
      skipWaiting: async () => {},
      clients: { matchAll: async () => [], claim: async () => {} },
      registration: {},
    }
    // SQLite's own remarks about the files that a worker has not.
    const console = { ...globalThis.console, warn: () => {}, error: () => {} }
    const given = { self, location: self.location, console, ...globals }
    new Function(...Object.keys(given), program)(...Object.values(given))
  }

  /** Counts a step; the last one is never taken. */
  #step(): void {
    this.#stepsLeft -= 1
    if (this.#stepsLeft < 0) this.kill()
    if (this.#dead) throw new Error('the browser was killed')
  }

  kill(): void {
    if (this.#dead) return
    this.#dead = true
    for (const db of this.#open) db.close()
    this.#tellDead(new Error('the browser was killed'))
  }

  killAfter(steps: number): void {
    this.#stepsLeft = steps
  }

  fetching(send: Fetch): Fetch {
    return async (asked, init) => {
      this.#step()
      const answer = await send(asked, init)
      this.#step()
      return answer
    }
  }

  /** The disk as this run sees it: each transaction is a step, and none begins after its death. */
  disk(factory: IDBFactory) {
    return {
      open: (name: string, version: number) => {
        const request = factory.open(name, version)
        request.addEventListener('success', () => {
          const db = request.result
          const begin = db.transaction.bind(db)
          db.transaction = (stores, mode, options) => {
            this.#step()
            return begin(stores, mode, options)
          }
          this.#open.push(db)
        })
        return request
      },
    }
  }

  install(): Promise<void> {
    return this.#dispatch('install', {})
  }

  async tell(words: string): Promise<State> {
    let answer: State | null = null
    const postMessage = (state: State) => {
      answer = state
    }
    const ports = [{ postMessage }]
    await this.#dispatch('message', { data: words, ports })
    if (!answer) throw new Error('the worker did not answer')
    return answer
  }

  async #dispatch(type: string, event: Record<string, unknown>): Promise<void> {
    const waits: Promise<unknown>[] = []
    this.#listeners.get(type)?.({ ...event, waitUntil: (done: Promise<unknown>) => void waits.push(done) })
    await Promise.race([Promise.all(waits), this.#death])
  }

  async ask(address: string, init: RequestInit): Promise<Given> {
    // As a browser asks for a page: it follows redirects itself.
    const request = new Request(origin + address, { redirect: 'manual', ...init })
    Object.defineProperty(request, 'mode', { value: 'navigate' })
    let answer: Promise<Response> | null = null
    this.#listeners.get('fetch')?.({
      request,
      respondWith: (given: Promise<Response>) => {
        answer = given
      },
      waitUntil: (done: Promise<unknown>) => this.#follow(done),
    })
    if (!answer) throw new Error('the worker left it to the browser')
    const { status, headers, text } = await Promise.race([read(answer), this.#death])
    const to = headers.get('Location') ?? ''
    return { status, location: to.replace(origin, ''), text }
  }

  #follow(done: Promise<unknown>): void {
    const quiet = Promise.race([done, this.#death]).catch(() => {})
    this.#underWay.add(quiet)
    quiet.then(() => this.#underWay.delete(quiet))
  }

  async settle(): Promise<void> {
    while (this.#underWay.size > 0) await Promise.all(this.#underWay)
  }
}

async function read(answer: Promise<Response>) {
  const { status, headers } = await answer
  return { status, headers, text: await (await answer).text() }
}

/** As a browser's fetch in a worker: what is not followed shows nothing of itself. */
async function toDepot(
  visitor: Visitor,
  { network }: TabletBrowser,
  asked: Request | string,
  init: RequestInit = {},
): Promise<Response> {
  const request = new Request(typeof asked === 'string' ? origin + asked : asked, init)
  const address = request.url.replace(origin, '')
  const body = request.method === 'POST' ? await request.text() : ''
  const answer = await network(address, () => askDepot(visitor, request, address, body))
  const hidden = answer.status >= 300 && answer.status < 400 && request.redirect === 'manual'
  if (!hidden) return answer
  return {
    type: 'opaqueredirect',
    status: 0,
    ok: false,
    headers: new Headers(),
    clone: () => answer,
  } as Response
}

async function askDepot(
  { agent }: Visitor,
  { method, headers }: Request,
  address: string,
  body: string,
): Promise<Response> {
  if (address.startsWith('/tablet/sqlite3.wasm'))
    return new Response(wasm, { headers: { 'Content-Type': 'application/wasm' } })
  const sent = method === 'POST' ? agent.post(address).type('form') : agent.get(address)
  for (const [name, value] of headers) if (name !== 'content-type') sent.set(name, value)
  sent.set('Sec-Fetch-Site', 'same-origin').redirects(0)
  const reply = await (method === 'POST' ? sent.send(body) : sent).ok(() => true)
  return new Response(reply.text ?? '', { status: reply.status, headers: reply.headers as HeadersInit })
}

/** Files put by, which outlive the worker. */
function cachesIn(files: Map<string, Map<string, Uint8Array>>, fetchHere: Fetch) {
  return {
    async open(name: string) {
      const there = files.get(name) ?? new Map<string, Uint8Array>()
      files.set(name, there)
      return {
        keys: async () => [...there.keys()].map(address => ({ url: origin + address })),
        match: async (address: string) => {
          const bytes = there.get(address)
          return bytes && new Response(bytes as BodyInit, { headers: { 'Content-Type': typeOf(address) } })
        },
        async addAll(addresses: string[]) {
          for (const address of addresses)
            there.set(address, new Uint8Array(await (await fetchHere(address)).arrayBuffer()))
        },
        delete: async (address: string) => there.delete(address),
      }
    },
  }
}

const typeOf = (address: string) => (address.includes('.wasm') ? 'application/wasm' : 'text/plain')

function clockOf(now: () => number) {
  return class extends Date {
    constructor(given: number | string | Date = now()) {
      super(given)
    }
    static override now = now
  }
}
