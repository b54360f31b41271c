// The platform in a service worker: what every browser has, and a SHA-256 that answers at once, which theirs does not.

import { sha256 as digest } from '@noble/hashes/sha2.js'
import { bytesToHex } from '@noble/hashes/utils.js'
import type { AsyncContext, Platform } from './platform.ts'

export const utf8: Platform['utf8'] = text => new TextEncoder().encode(text)

export const sha256: Platform['sha256'] = content =>
  bytesToHex(digest(typeof content === 'string' ? utf8(content) : content))

export const randomBytes: Platform['randomBytes'] = count => crypto.getRandomValues(new Uint8Array(count))

export const randomId: Platform['randomId'] = () => crypto.randomUUID()

export const base64Url: Platform['base64Url'] = bytes =>
  btoa(Array.from(bytes, byte => String.fromCharCode(byte)).join(''))
    .replaceAll('+', '-')
    .replaceAll('/', '_')
    .replaceAll('=', '')

export const sameBytes: Platform['sameBytes'] = (a, b) => {
  let difference = a.length ^ b.length
  for (const [index, byte] of a.entries()) difference |= byte ^ (b[index] ?? 0)
  return difference === 0
}

export const atEndOfTurn: Platform['atEndOfTurn'] = task => void setTimeout(task)

/**
 * A browser can't follow a task through its waits, so tasks run one at a time: each begins when those before it have
 * ended. A task must not wait for another task of the same context, or neither ends. What the program does while a task
 * waits counts as the task's: in a service worker all requests come from the one tablet.
 */
export function createAsyncContext<T>(): AsyncContext<T> {
  let present: T | undefined
  let last: Promise<unknown> = Promise.resolve()
  return {
    run(value, task) {
      const done = last.then(async () => {
        present = value
        try {
          return await task()
        } finally {
          present = undefined
        }
      })
      last = done.catch(() => {})
      return done
    },
    current: () => present,
  }
}
