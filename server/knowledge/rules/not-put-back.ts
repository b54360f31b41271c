import { findCheck, findEnd, refKey, refOf } from '../graph.ts'
import type { Problem } from '../problem.ts'
import type { Check, End, Knowledge } from '../types.ts'
import type { GraphContext } from './context.ts'
import { eachCheck } from './each.ts'
import { problemAt, quoted } from './problem-at.ts'

const PUTS_BACK =
  /\b(?:put(?:s|ting)?\b.{0,60}\bback|restor|reconnect|refit|remak|re-?make|refasten|close[sd]?\b.{0,40}\bagain|fit[s]?\b.{0,40}\bagain|back in(?:to)? place)/i

/**
 * Something taken apart on a path to an end, where neither the checks from there on nor the end say to put it
 * back. Paths to a cause are left alone: after a repair its proof shows whether all is back.
 */
export function notPutBack(context: GraphContext): Problem[] {
  const restores = new Map<Check, boolean>()
  const putsBack = (check: Check) => {
    const said = restores.get(check) ?? PUTS_BACK.test(check.instruction)
    restores.set(check, said)
    return said
  }
  return eachCheck(context).flatMap(({ draft, check }) => {
    if (!check.disturbs || putsBack(check)) return []
    const end = openEnd(context.knowledge, check, putsBack)
    if (!end) return []
    return problemAt(draft.doc, check.source.line, {
      code: 'not-put-back',
      found: `${quoted(check.title)} disturbs ${quoted(check.disturbs)}, and the end ${quoted(end.title)} leaves it so.`,
      expected: 'On every path to an end, what was taken apart is put back.',
      mend: 'Say in the end, or in a check on the way to it, to put it back.',
      related: [{ source: end.source, note: 'the end' }],
    })
  })
}

function openEnd(knowledge: Knowledge, from: Check, putsBack: (check: Check) => boolean): End | null {
  const waiting: Check[] = [from]
  const met = new Set<string>([refKey(refOf(from))])
  for (let check = waiting.pop(); check; check = waiting.pop()) {
    for (const { next } of check.rows) {
      const end = next.kind === 'end' ? findEnd(knowledge, next) : null
      if (end && !PUTS_BACK.test([end.about, ...end.cautions].join(' '))) return end
      const onward = next.kind === 'check' ? findCheck(knowledge, next) : null
      if (!onward || met.has(refKey(refOf(onward))) || putsBack(onward)) continue
      met.add(refKey(refOf(onward)))
      waiting.push(onward)
    }
  }
  return null
}
