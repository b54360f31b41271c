// What the worker keeps on the tablet. An act counts as saved once its transaction is on disk (strict durability).

import type { Surroundings } from '../deps.ts'

/** A form that was recorded on this tablet. */
export interface Act {
  /** Its number in the shift, from 1. */
  seq: number
  /** The form's own. */
  id: string
  /** The shift's, with which it is sent. */
  token: string
  address: string
  form: string
  cookies: Record<string, string>
  /** UTC ISO text, by the tablet's clock put right by the depot's. */
  doneAt: string
  clockAheadMs: number
  /** When the copy was made that it was done over, and the edition in use there; not known of acts of an older program. */
  copiedAt?: string
  edition?: string
  /** Acknowledged by the depot. */
  sent: boolean
  /** Why the depot let it stand apart; null when it did not, or is not known yet. */
  apart: string | null
}

/** The shift that is carried. */
export interface Shift {
  token: string
  /** UTC ISO text. */
  until: string
  about: Surroundings
  clockAheadMs: number
  /** Somebody has signed out or covered the tablet: nothing is shown until the depot says who is there. */
  locked: boolean
}

/** How the depot was reached: milliseconds, by the tablet's clock. */
export interface Contact {
  goodAt: number
  /** null while there is signal. */
  lostAt: number | null
  savedAt: number | null
}

interface Kept {
  shift: Shift
  base: Uint8Array
  jar: Record<string, string>
  contact: Contact
}

let open: Promise<IDBDatabase> | null = null

function database(): Promise<IDBDatabase> {
  open ??= new Promise((resolve, reject) => {
    const request = indexedDB.open('fourfoot-shift', 1)
    request.onupgradeneeded = () => {
      request.result.createObjectStore('kept')
      request.result.createObjectStore('acts', { keyPath: ['token', 'seq'] })
    }
    request.onsuccess = () => resolve(request.result)
    request.onerror = () => reject(request.error)
  })
  // What failed once is tried again with the next request.
  open.then(
    db => {
      db.onclose = () => {
        open = null
      }
    },
    () => {
      open = null
    },
  )
  return open
}

type Stores = { kept: IDBObjectStore; acts: IDBObjectStore }

/** Resolves when what `make` did is on disk; rejects when nothing of it is. */
async function change(make: (stores: Stores) => void): Promise<void> {
  const db = await database()
  await new Promise<void>((resolve, reject) => {
    const write = db.transaction(['kept', 'acts'], 'readwrite', { durability: 'strict' })
    write.oncomplete = () => resolve()
    write.onabort = () => reject(write.error ?? new Error('not kept'))
    make({ kept: write.objectStore('kept'), acts: write.objectStore('acts') })
  })
}

async function read<T>(store: 'kept' | 'acts', ask: (store: IDBObjectStore) => IDBRequest<T>): Promise<T> {
  const db = await database()
  return new Promise((resolve, reject) => {
    const request = ask(db.transaction(store).objectStore(store))
    request.onsuccess = () => resolve(request.result)
    request.onerror = () => reject(request.error)
  })
}

export function readKept<K extends keyof Kept>(name: K): Promise<Kept[K] | undefined> {
  return read('kept', store => store.get(name))
}

export function keep<K extends keyof Kept>(name: K, value: Kept[K]): Promise<void> {
  return change(({ kept }) => void kept.put(value, name))
}

/** By shift and number. */
export function readActs(): Promise<Act[]> {
  return read('acts', store => store.getAll())
}

/** Rejects when there is one of that number: none takes the place of another. */
export function addAct(act: Act): Promise<void> {
  return change(({ acts }) => void acts.add(act))
}

export function putAct(act: Act): Promise<void> {
  return change(({ acts }) => void acts.put(act))
}

/** A whole copy in place of the one before; the acts named are in it, and are let go. */
export function replaceCopy(
  shift: Shift,
  base: Uint8Array,
  jar: Record<string, string>,
  within: Act[],
): Promise<void> {
  return change(({ kept, acts }) => {
    kept.put(shift, 'shift')
    kept.put(base, 'base')
    kept.put(jar, 'jar')
    for (const act of within) acts.delete([act.token, act.seq])
  })
}

/** The copy goes; what waits to be sent stays. */
export function dropCopy(): Promise<void> {
  return change(({ kept }) => {
    for (const name of ['shift', 'base', 'jar']) kept.delete(name)
  })
}
