import type { Problem } from '../problem.ts'
import type { Draft } from '../read/draft.ts'
import { sentencesOf } from '../read/sentences.ts'
import { problemAt } from './problem-at.ts'

/** Words that are commands where they begin a sentence or follow "and" or "then". */
const COMMANDS =
  'set|hold|measure|open|close|remove|take|put|connect|disconnect|read|press|turn|lift|fit|refit|pull|push|replace|clean|undo|wait|tell|ask|write|compare|move|unplug|tighten|loosen|isolate|restore|reconnect'
const FIRST = new RegExp(`^(?:[^,]*, )?(?:${COMMANDS}) `, 'i')
const SECOND = new RegExp(`(?: and|,? then|,? and then|;) (?:${COMMANDS}) `, 'i')

/** Two commands in one sentence: `Open the case and remove the fuse.` A warning. */
export function twoCommands(draft: Draft): Problem[] {
  return sentencesOf(draft)
    .filter(({ text }) => FIRST.test(text) && SECOND.test(text))
    .map(({ line }) =>
      problemAt(draft.doc, line, {
        code: 'two-commands',
        severity: 'warning',
        found: 'A sentence here gives two commands.',
        expected: 'One sentence gives one command, so that none is missed.',
        mend: 'Make two sentences of it.',
      }),
    )
}
