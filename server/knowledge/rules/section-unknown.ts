import { hinter } from '../nearest-name.ts'
import type { Problem } from '../problem.ts'
import type { Draft } from '../read/draft.ts'
import { problemAt, quoted } from './problem-at.ts'

const EQUIPMENT_SECTIONS = ['Terminals', 'Access', 'Units', 'Facts', 'Limits', 'Causes', 'Tests after work']

/** A heading that has no place in its file: `## Causses` in an equipment file, `### Note` under a check. */
export function sectionUnknown(draft: Draft): Problem[] {
  const hint = hinter()
  const isTree = draft.kind === 'tree'
  return draft.stray
    .filter(section => section.level !== 1)
    .map(section =>
      problemAt(draft.doc, section.line, {
        code: 'section-unknown',
        found: `The heading ${quoted(section.title)} has no place here.`,
        expected: isTree
          ? 'A tree has ## for checks, ends and Examples, and ### only under Examples.'
          : `An equipment file has ## ${EQUIPMENT_SECTIONS.join(', ## ')}, and ### for each cause under Causes.`,
        mend: isTree ? 'Make it a check of its own, or plain words.' : 'Rename or move the heading.',
        hint: isTree ? null : hint(section.title, EQUIPMENT_SECTIONS),
      }),
    )
}
