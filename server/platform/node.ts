// The platform on a server.

import { AsyncLocalStorage } from 'node:async_hooks'
import { randomBytes as bytesOf, hash, randomUUID, timingSafeEqual } from 'node:crypto'
import type { AsyncContext, Platform } from './platform.ts'

export const sha256: Platform['sha256'] = content => hash('sha256', content, 'hex')

export const randomBytes: Platform['randomBytes'] = count => bytesOf(count)

export const randomId: Platform['randomId'] = () => randomUUID()

export const base64Url: Platform['base64Url'] = bytes =>
  Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength).toString('base64url')

export const utf8: Platform['utf8'] = text => Buffer.from(text, 'utf8')

export const sameBytes: Platform['sameBytes'] = (a, b) => a.length === b.length && timingSafeEqual(a, b)

export const atEndOfTurn: Platform['atEndOfTurn'] = task => void setImmediate(task)

/**
 * Following tasks through their waits slows down everything the program does by a tenth, so it is done only while a task
 * is running.
 */
export function createAsyncContext<T>(): AsyncContext<T> {
  const storage = new AsyncLocalStorage<T>()
  let running = 0
  return {
    async run(value, task) {
      running += 1
      try {
        return await storage.run(value, task)
      } finally {
        running -= 1
        if (running === 0) storage.disable()
      }
    },
    current: () => storage.getStore(),
  }
}
