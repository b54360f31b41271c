// Who is served next where only a few can be at once. A hash takes a third of a second and 32 MiB, so at most two are
// worked out at a time; whoever floods the queue must not keep others waiting. One that has begun is not broken off: so a
// stranger's begins only when nothing else is worked out, and there is always a place, and a core, for the others.

import { AppError } from '../errors.ts'

export interface Turn {
  /** Neither on an enrolled tablet nor signed in: waits until nobody else does. */
  stranger: boolean
  /** Among the same kind the fewest go first: how many guesses their place made lately. */
  count: number
}

/** For whoever is signed in, and for the program itself. */
export const ownTurn: Turn = { stranger: false, count: 0 }

export interface Turns {
  /** Runs the task when its turn comes. Rejects with 'too many' when the queue is full of those who go before. */
  run<T>(turn: Turn, task: () => Promise<T>): Promise<T>
}

export interface TurnLimits {
  atOnce: number
  /** How many may wait: of strangers, and of the others. */
  strangers: number
  others: number
}

interface Waiting {
  turn: Turn
  start(): Promise<void>
  refuse(error: AppError): void
}

export function createTurns({ atOnce, strangers, others }: TurnLimits): Turns {
  const waiting: Waiting[] = []
  let running = 0

  const mayBegin = ({ stranger }: Turn) => running < (stranger ? 1 : atOnce)

  function startNext(): void {
    for (let next = waiting[0]; next && mayBegin(next.turn); next = waiting[0]) {
      waiting.shift()
      running += 1
      void next.start().finally(() => {
        running -= 1
        startNext()
      })
    }
  }

  function enter(one: Waiting): void {
    const at = waiting.findIndex(other => isBefore(one.turn, other.turn))
    waiting.splice(at < 0 ? waiting.length : at, 0, one)
    startNext()
    const { stranger } = one.turn
    const same = waiting.filter(other => other.turn.stranger === stranger)
    const last = same.length > (stranger ? strangers : others) ? same.at(-1) : undefined
    if (!last) return
    waiting.splice(waiting.indexOf(last), 1)
    last.refuse(
      new AppError('too many', 'Too many people sign in at once. Wait a few seconds and try again.'),
    )
  }

  return {
    run: (turn, task) =>
      new Promise((resolve, reject) => {
        enter({ turn, start: () => task().then(resolve, reject), refuse: reject })
      }),
  }
}

/**
 * Whether a newcomer goes before one who waits. Of strangers with as many guesses the newest goes first: a flood comes
 * from addresses that have not guessed yet too, and whoever comes after it must not be the one who is turned away.
 */
function isBefore(newcomer: Turn, other: Turn): boolean {
  if (newcomer.stranger !== other.stranger) return other.stranger
  return newcomer.stranger ? newcomer.count <= other.count : newcomer.count < other.count
}
