import { terminalNames } from '../link/equipment.ts'
import type { Problem } from '../problem.ts'
import { keyOf, proseOf, type Section } from '../read/document.ts'
import { terminalsIn } from '../terminals-in.ts'
import type { Equipment } from '../types.ts'
import type { LinkContext } from './context.ts'
import { eachSection } from './each.ts'
import { allOf, problemAt, quoted } from './problem-at.ts'

/** A sentence that says where an instrument goes. */
const PROBING = /\b(?:probes?|clamp|test from|test each)\b/i

/** `- Between: S1 and S2` under an instruction that speaks of other terminals: the drawing would contradict it. */
export function betweenDiffers(context: LinkContext): Problem[] {
  return eachSection(context).flatMap(({ draft, kit, section }) => {
    const between = terminalNames(section)
    if (between.length === 0) return []
    const differ = differing(kit, section, between)
    if (!differ) return []
    const line = (keyOf(section, 'Between') ?? keyOf(section, 'Around'))?.line ?? section.line
    return problemAt(draft.doc, line, {
      code: 'between-differs',
      found: differ,
      expected: 'The instruction and the key name the same terminals: what is drawn is what is read.',
      mend: 'Name the terminals in the instruction, or correct the key; where a clamp goes round a wire it is “Around”.',
    })
  })
}

/** Null where they are the same, or where a terminal is sealed or unknown: that is another rule's. */
function differing(kit: Equipment, section: Section, between: string[]): string | null {
  const prose = proseOf(section)
  if (between.some(name => kit.terminals.find(one => one.name === name)?.sealed !== false)) return null
  const named = terminalsIn(kit, prose).map(one => one.name)
  const unsaid = between.filter(name => !named.includes(name))
  if (unsaid.length > 0) return `The instruction does not name ${allOf(unsaid)}.`
  for (const sentence of prose.split(/[.!?](?=\s|$)/)) {
    if (!PROBING.test(sentence)) continue
    const others = terminalsIn(kit, sentence).filter(one => !between.includes(one.name))
    if (others.length > 0)
      return `The instruction says ${quoted(sentence)}, and ${allOf(others.map(one => one.name))} is not in the key.`
  }
  return null
}
