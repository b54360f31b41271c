// Sheets, scripts and SQLite itself, as they were when the shift began.

import builtFacts from 'built:facts'

const name = 'fourfoot'
const { assets, sqlite } = builtFacts
/** Those whose address stays the same when they change. */
const plain = ['/assets/js/shift.js', '/assets/icon.svg', '/assets/app.webmanifest']
const needed = [assets.app, assets.desk, assets.script, sqlite, ...plain]

/** Whether it is asked of the depot first, and what was put by stands in where that does not answer. */
export const isPlain = (address: string) => plain.includes(address)

/** Puts them by. Rejects when one can't be had. */
export async function putBy(): Promise<void> {
  const cache = await caches.open(name)
  const there = new Set((await cache.keys()).map(request => addressOf(request.url)))
  await cache.addAll(needed.filter(address => !there.has(address)))
  for (const address of there)
    if (!needed.includes(address)) await cache.delete(address, { ignoreVary: true })
}

const addressOf = (url: string) => new URL(url).pathname + new URL(url).search

/** From what was put by, else from the depot. */
export async function cached(address: string): Promise<Response> {
  const cache = await caches.open(name)
  return (await cache.match(address, { ignoreVary: true })) ?? fetch(address)
}
