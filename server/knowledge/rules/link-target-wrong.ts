import { linkUses } from '../link/uses.ts'
import type { Problem } from '../problem.ts'
import { type Place, resolveLink } from '../read/names.ts'
import type { LinkContext } from './context.ts'
import { oneOf, problemAt, quoted } from './problem-at.ts'

const WORDS: Record<Place['kind'], string> = {
  check: 'a check',
  cause: 'a cause',
  end: 'an end',
  tree: 'a tree',
  equipment: 'an equipment file',
}

/**
 * A link to the wrong kind of thing: `- Prove: [Fuse
 * blown](#fuse-blown)`, where a cause can't prove anything.
 */
export function linkTargetWrong({ drafts, names }: LinkContext): Problem[] {
  return linkUses(drafts).flatMap(use => {
    const resolved = resolveLink(names, use.doc.path, use.href)
    if (!resolved.ok || use.wants.includes(resolved.place.kind)) return []
    return problemAt(use.doc, use.line, {
      code: 'link-target-wrong',
      found: `${quoted(use.text)} leads to ${WORDS[resolved.place.kind]}.`,
      expected: `A link here leads to ${oneOf(use.wants.map(kind => WORDS[kind]))}.`,
      mend: 'Link the heading that is meant.',
    })
  })
}
