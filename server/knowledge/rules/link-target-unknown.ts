import { type LinkUse, linkUses } from '../link/uses.ts'
import { hinter } from '../nearest-name.ts'
import type { Problem } from '../problem.ts'
import { type Resolved, resolveLink } from '../read/names.ts'
import type { LinkContext } from './context.ts'
import { problemAt, quoted } from './problem-at.ts'

/** A link to a file or a heading that is not there: `[Drive](#drive-inptu)`. */
export function linkTargetUnknown({ drafts, names }: LinkContext): Problem[] {
  const hint = hinter()
  return linkUses(drafts).flatMap(use => {
    const resolved = resolveLink(names, use.doc.path, use.href)
    const isUnread = !resolved.ok && resolved.missing === 'file' && names.unread.has(resolved.wanted)
    return resolved.ok || isUnread ? [] : problem(use, resolved, hint)
  })
}

function problem(
  use: LinkUse,
  resolved: Exclude<Resolved, { ok: true }>,
  hint: ReturnType<typeof hinter>,
): Problem {
  const link = `${quoted(use.text)} leads to ${quoted(use.href)}`
  const said = { code: 'link-target-unknown', expected: EXPECTED, mend: MEND }
  if (resolved.missing === 'address') {
    return problemAt(use.doc, use.line, { ...said, found: `${link}, which is outside the knowledge folder.` })
  }
  const what = resolved.missing === 'file' ? 'there is no such file' : 'there is no such heading'
  return problemAt(use.doc, use.line, {
    ...said,
    found: `${link}, and ${what}.`,
    hint: hint(resolved.wanted, resolved.known),
  })
}

const EXPECTED =
  'A link leads to a check, cause or end that is written: #check-title, other-tree.md#check-title or ../equipment/name.md#cause-title.'
const MEND = 'Write the heading’s words in lower case with hyphens, or write what is missing.'
