// Errors that nothing caught: thrown from a callback of a stream or a timer, or a promise that nobody waited for. One of
// them ends a request, not the program, as long as the state can be trusted; else the program says why, closes, and ends
// so that the service's unit starts it again.

import type { Logger } from 'pino'

/** EX_SOFTWARE of sysexits(3); the unit starts the program again. */
const internalError = 70

/** What the program is asked and told when an error was caught nowhere. */
export interface Around {
  log: Logger
  /** Notes the requests under way; what it gives cuts off those of them that are still without an answer then. */
  noteUnderWay(): () => void
  /** Why the state can't be trusted any more; null while it can. */
  distrust(error: unknown): string | null
  close(): Promise<void>
}

export const patience = {
  /** An honest request is answered by then; the one that the error broke never is. */
  cutOffMs: 10_000,
  /** So many errors within `withinMs` are no accident of one request. */
  most: 10,
  withinMs: 60_000,
  closeMs: 25_000,
  /** The unit gives up after 5 starts in 300 s (StartLimitBurst): who ends by intent has run for longer than a fifth of it. */
  leastUptimeMs: 61_000,
}

/** Takes charge of errors that nothing catches, until the process ends. */
export function catchUncaught(around: Around, limits: typeof patience = patience): void {
  let times: number[] = []
  let ending = false
  // A promise that nobody waited for comes here too.
  process.on('uncaughtException', error => {
    const now = Date.now()
    times = [...times.filter(time => now - time < limits.withinMs), now]
    const why = times.length > limits.most ? 'too many errors in a short time' : around.distrust(error)
    if (ending || why === null) {
      around.log.error({ err: error }, 'an error was caught nowhere; the program goes on')
      // Which request it was can't be told: one that is answered in time was another.
      if (!ending) setTimeout(around.noteUnderWay(), limits.cutOffMs).unref()
      return
    }
    ending = true
    around.log.fatal(
      { err: error, why },
      'an error was caught nowhere; the program ends, to be started again',
    )
    void end(around, limits)
  })
}

async function end({ log, close }: Around, { closeMs, leastUptimeMs }: typeof patience): Promise<void> {
  const tooLong = new Promise<void>(done => setTimeout(done, closeMs))
  await Promise.race([close().catch(err => log.error({ err }, 'closing failed')), tooLong])
  const left = leastUptimeMs - process.uptime() * 1000
  if (left > 0) await new Promise(done => setTimeout(done, left))
  process.exit(internalError)
}
