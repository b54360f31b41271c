import { slowedDown } from '../../auth/attempts.ts'
import { demoLimits } from '../../knowledge/limit-use.ts'
import { rescueCodeMade } from '../../storage/people/setup-codes.ts'
import type { Person } from '../../storage/storage.ts'
import type { Deps } from '../deps.ts'

/** What stands at the head of each page of this person's; the database is asked only for somebody signed in. */
export function warningsFor(deps: Deps, person: Person | null): string[] {
  const list = deps.demoNotice ? [deps.demoNotice] : demoLimitWords(deps)
  const errors = deps.library.problems().filter(problem => problem.severity === 'error').length
  if (person) list.push(...withdrawnWords(deps), ...lateWords(deps, person))
  if (errors > 0 && person && person.role !== 'technician') {
    list.push(
      `The knowledge folder has ${errors} ${errors === 1 ? 'error' : 'errors'} and was not published: an earlier edition is in use. See Fault trees.`,
    )
  }
  if (person?.role === 'engineer') list.push(...engineersWarnings(deps))
  return list
}

/** On every page of real data, for everybody: nobody may take a verdict by a made-up limit for one that counts. */
function demoLimitWords({ library }: Deps): string[] {
  const count = demoLimits(library.current().knowledge)
  if (count === 0) return []
  const are = count === 1 ? '1 limit is a demo value' : `${count} limits are demo values`
  return [
    `${are}, not your railway’s. A verdict by a demo value proves nothing: go by your own instructions.`,
  ]
}

function engineersWarnings(deps: Deps): string[] {
  const troubles = [deps.databaseTrouble?.(), deps.backups?.()?.trouble]
  const dayAgo = new Date(deps.clock().getTime() - 86_400_000).toISOString()
  const names = new Set(deps.storage.trail.listHappened(slowedDown, dayAgo).map(entry => entry.key))
  const rescued = deps.storage.trail.listHappened(rescueCodeMade, dayAgo)[0]
  return [
    ...(rescued
      ? [`A setup code was made on the machine itself, ${deps.times.moment(rescued.at)}. See the trail.`]
      : []),
    ...troubles.filter(trouble => typeof trouble === 'string'),
    ...(names.size > 0
      ? [`Wrong PINs or passwords were typed for ${[...names].slice(0, 3).join(', ')}. See People.`]
      : []),
  ]
}

/** For those who were at the fault, and for engineers: what arrived late may have left something undone. */
function lateWords({ storage, clock, times }: Deps, { id, role }: Person): string[] {
  if (role !== 'technician' && role !== 'engineer') return []
  const dayAgo = new Date(clock().getTime() - 86_400_000).toISOString()
  const told = storage.shifts.listTold(dayAgo, role === 'engineer' ? null : id)
  return told
    .slice(0, 3)
    .map(
      ({ siteName, positionName, at }) =>
        `At ${siteName}, ${positionName}, something arrived late from a tablet, ${times.moment(at)}. Look at “Arrived late” on the fault’s record.`,
    )
}

/** On every page for everybody: a technician out with a withdrawn tree must learn of it at once. */
function withdrawnWords({ storage, library, times }: Deps): string[] {
  const { trees } = library.current().knowledge
  return storage.publications.withdrawnTrees().map(({ tree, at, byName, words }) => {
    const title = trees.get(tree)?.title ?? tree
    return `The fault tree “${title}” was withdrawn by ${byName}, ${times.moment(at)}: ${words} Ask before you go on with it.`
  })
}
