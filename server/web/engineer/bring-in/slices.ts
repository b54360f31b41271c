// What takes long is worked through a little at a time, so that no other request waits long for it. Several take turns.

import { memo } from '../../../cache.ts'
import type { Deps } from '../../deps.ts'

/** Does at most so many items; true when there are no more. */
export type Step = (items: number) => boolean

export interface Slices {
  /** Settles when all is done, or with what a step throws; never once stopped. */
  workThrough(step: Step): Promise<void>
  /** Nothing is done from now on: the database is about to be closed. */
  stop(): void
}

/** A request may meet two of them, and has its own work to do. */
const sliceMs = 5
const mostItems = 500

/** One for each program. */
export const slicesOf = memo(({ host }: Deps) => createSlices(host.whenIdle))

export function createSlices(whenIdle: (run: () => void) => void): Slices {
  const waiting: (() => void)[] = []
  let running = false
  let stopped = false

  function runNext(): void {
    const next = stopped ? undefined : waiting.shift()
    running = next !== undefined
    if (next === undefined) return
    next()
    whenIdle(runNext)
  }
  function wait(slice: () => void): void {
    waiting.push(slice)
    if (running) return
    running = true
    whenIdle(runNext)
  }

  return {
    workThrough: step =>
      new Promise((resolve, reject) => {
        let items = 4
        const slice = () => {
          const began = performance.now()
          try {
            if (step(items)) return resolve()
          } catch (error) {
            return reject(error)
          }
          items = nextItems(items, performance.now() - began)
          wait(slice)
        }
        wait(slice)
      }),
    stop: () => {
      stopped = true
    },
  }
}

/** As many as take a slice, by how long the last ones took; growing slowly, since the next may take longer. */
function nextItems(items: number, tookMs: number): number {
  const fitting = Math.floor((items * sliceMs) / Math.max(tookMs, 0.01))
  return Math.max(1, Math.min(fitting, 2 * items, mostItems))
}
