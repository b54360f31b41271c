// The file that is being brought in: looked at again, written a little at a time, put in force; or given up, and what was
// written taken away. It goes on by itself, and anybody may look how far it is.

import { memo } from '../../../cache.ts'
import { AppError } from '../../../errors.ts'
import type { Subject } from '../../../exchange/subjects.ts'
import { type Actor, actAs } from '../../../storage/engine/acting.ts'
import type { Bringing, WhyGivenUp } from '../../../storage/storage.ts'
import type { Deps } from '../../deps.ts'
import { type LookedAt, type Upload, uploadsOf } from './import-uploads.ts'
import { beginBringing, lookThrough, notLookedAt } from './look-through.ts'
import { slicesOf } from './slices.ts'

export interface Run {
  id: string
  fileId: string
  fileName: string
  subject: Subject
  by: string
  byName: string
  /** 'refused': some rows are bad and were not to be left out. */
  state: 'looking' | 'writing' | 'taking away' | 'in force' | 'refused' | 'given up'
  seen: LookedAt
  bringing: Bringing
  leaveOut: boolean
  /** Why it is to come to nothing; null while it is to come in force. */
  givenUp: WhyGivenUp | null
  /** Resolves when it is in force, refused or given up. */
  ended: Promise<void>
}

interface Runs {
  /** The one that is under way, or ended last. */
  latest: Run | null
}

/** One for each program: in memory alone, since what a run leaves behind when the program ends is on record. */
const runsOf = memo((_deps: Deps): Runs => ({ latest: null }))

export function findRun(deps: Deps, id: string): Run | null {
  const { latest } = runsOf(deps)
  return latest?.id === id ? latest : null
}

/** The one that is under way, or null. */
export function runUnderWay(deps: Deps): Run | null {
  const { latest } = runsOf(deps)
  return latest && isUnderWay(latest) ? latest : null
}

export function isUnderWay({ state }: Run): boolean {
  return state === 'looking' || state === 'writing' || state === 'taking away'
}

/** How far it is, in words and in numbers. */
export interface Progress {
  words: string
  done: number
  /** 0 where nobody can say. */
  of: number
}

export function runProgress({ state, seen, bringing }: Run): Progress {
  const { done, of } = state === 'writing' ? bringing.written() : seen
  if (state === 'looking') return { words: `${done} of ${of} rows looked at.`, done, of }
  if (state === 'writing')
    return { words: `${done} of ${of} rows written; none of them counts yet.`, done, of }
  return { words: 'It was given up. What it has written is being taken away.', done: 0, of: 0 }
}

interface Wanted {
  id: string
  leaveOut: boolean
  by: { id: string; name: string }
  actor: Actor
}

/** 'conflict' while another is under way. */
export function startRun(deps: Deps, upload: Upload, { id, leaveOut, by, actor }: Wanted): Run {
  mustBeFree(deps)
  const run: Run = {
    ...{ id, leaveOut, by: by.id, byName: by.name },
    ...{ fileId: upload.id, fileName: upload.fileName, subject: upload.subject },
    state: 'looking',
    seen: notLookedAt(upload),
    bringing: beginBringing(deps, upload, { id, by: by.id }),
    givenUp: null,
    ended: Promise.resolve(),
  }
  runsOf(deps).latest = run
  run.ended = bringIn(deps, upload, run, actor)
  return run
}

function mustBeFree(deps: Deps): void {
  const other = runUnderWay(deps)
  if (other)
    throw new AppError(
      'conflict',
      `${other.fileName} is being brought in, by ${other.byName}. Wait until that is done, then send this again.`,
    )
  if (!deps.storage.imports.mustSweep()) return
  void sweepLeftOver(deps)
  throw new AppError(
    'conflict',
    'What an earlier import left behind is being taken away. Wait a minute, then send this again.',
  )
}

/** Everything that may go wrong ends in a state that can be shown. */
async function bringIn(deps: Deps, upload: Upload, run: Run, actor: Actor): Promise<void> {
  try {
    await lookAndWrite(deps, upload, run, actor)
  } catch (error) {
    deps.log.error({ error, import: run.id }, 'an import could not be brought in')
    run.givenUp = 'failed'
  }
  if (run.givenUp === null) return
  run.state = 'taking away'
  const why = run.givenUp
  await sweep(deps, items => actAs(actor, () => deps.storage.imports.sweep(items, why)))
  run.state = 'given up'
}

async function lookAndWrite(deps: Deps, upload: Upload, run: Run, actor: Actor): Promise<void> {
  const { bringing, seen } = run
  const isGivenUp = () => run.givenUp !== null
  await lookThrough(deps, upload, { bringing, seen, isGivenUp })
  if (isGivenUp()) return
  if (bringing.counts().bad + seen.unreadable.length > 0 && !run.leaveOut) {
    run.state = 'refused'
    return
  }
  run.state = 'writing'
  actAs(actor, () => bringing.open(seen.unreadable.length))
  await slicesOf(deps).workThrough(items => {
    actAs(actor, () => bringing.write(items))
    const { done, of } = bringing.written()
    return done === of || isGivenUp()
  })
  if (isGivenUp()) return
  actAs(actor, () => bringing.putInForce())
  run.state = 'in force'
  uploadsOf(deps).forget(upload.id)
}

/** Before it is in force an import can be given up. False when it is too late for that. */
export function cancelRun(run: Run): boolean {
  if (run.state !== 'looking' && run.state !== 'writing') return false
  run.givenUp = 'cancelled'
  return true
}

/** Takes away what an import left behind when the program ended before it was in force. Nothing when there is none. */
export async function sweepLeftOver(deps: Deps): Promise<void> {
  if (sweeping.has(deps)) return
  sweeping.add(deps)
  await sweep(deps, items => deps.storage.imports.sweep(items, 'stopped'))
  sweeping.delete(deps)
}
const sweeping = new WeakSet<Deps>()

/** What can't be taken away now, on a full disk, is taken away before the next import or after the next start. */
async function sweep(deps: Deps, step: (items: number) => boolean): Promise<void> {
  try {
    if (deps.storage.imports.mustSweep()) await slicesOf(deps).workThrough(step)
  } catch (error) {
    deps.log.error({ error }, 'what an import left behind could not be taken away')
  }
}
