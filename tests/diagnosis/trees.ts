// Small fault trees for tests, written as plain data.

import type {
  Access,
  Cause,
  Check,
  End,
  Equipment,
  FaultTree,
  Knowledge,
  Row,
  RowMatch,
  Source,
  Target,
} from '../../server/knowledge/types.ts'
import { nothingStated } from '../../server/measurement/instruments/suitability.ts'

const source: Source = { path: 'trees/dead.md', line: 1 }

/** Row label → where it leads: `check`, `tree#check`, `!cause`, `.end`. */
export interface CheckPart
  extends Partial<Pick<Check, 'minutes' | 'access' | 'needs' | 'disturbs' | 'slip' | 'cautions'>> {
  rows: Record<string, string>
}

export interface TreePart {
  checks: Record<string, CheckPart>
  ends?: Record<string, End['means']>
}

/** Knowledge with one kind of equipment, `set`. The first check of a tree is its start. */
export function knowledgeOf(
  trees: Record<string, TreePart>,
  causes: Record<string, Partial<Cause>>,
  access: Omit<Access, 'source'>[] = [],
): Knowledge {
  const equipment: Equipment = {
    slug: 'set',
    name: 'Set',
    about: '',
    cautions: [],
    terminals: [],
    access: access.map(item => ({ ...item, source })),
    units: [],
    facts: [],
    limits: [],
    testsAfterWork: [],
    causes: new Map(Object.entries(causes).map(([slug, part]) => [slug, causeOf(slug, part)])),
    source,
  }
  return {
    equipment: new Map([['set', equipment]]),
    trees: new Map(Object.entries(trees).map(([slug, part]) => [slug, treeOf(slug, part)])),
  }
}

function causeOf(slug: string, part: Partial<Cause>): Cause {
  return {
    equipment: 'set',
    slug,
    title: slug,
    share: 1,
    minutes: 20,
    remedy: '',
    cautions: [],
    prove: [],
    replace: null,
    source,
    ...part,
  }
}

function treeOf(slug: string, part: TreePart): FaultTree {
  return {
    slug,
    title: slug,
    equipment: 'set',
    symptom: slug,
    kind: 'fault',
    about: '',
    cautions: [],
    start: { tree: slug, check: Object.keys(part.checks)[0] ?? '' },
    checks: new Map(Object.entries(part.checks).map(([name, check]) => [name, checkOf(slug, name, check)])),
    ends: new Map(
      Object.entries(part.ends ?? { nothing: 'no fault found' as const }).map(([name, means]) => [
        name,
        { tree: slug, slug: name, title: name, means, about: '', cautions: [], source },
      ]),
    ),
    reviewBy: null,
    examples: [],
    source,
  }
}

function checkOf(tree: string, slug: string, { rows, ...part }: CheckPart): Check {
  return {
    tree,
    slug,
    title: slug,
    cautions: [],
    instruction: '',
    does: { kind: 'observe', what: slug, between: [], clamp: false },
    minutes: 5,
    access: null,
    needs: [],
    instrument: nothingStated,
    insulationTest: false,
    endsOff: null,
    disturbs: null,
    blind: false,
    slip: null,
    rows: Object.entries(rows).map(([label, next]) => rowOf(tree, label, next)),
    source,
    ...part,
  }
}

function rowOf(tree: string, label: string, next: string): Row {
  return { label, match: matchOf(label), means: '', next: targetOf(tree, next), source }
}

function matchOf(label: string): RowMatch {
  switch (label) {
    case 'in range':
    case 'below':
    case 'above':
    case 'none':
    case 'open':
    case 'cannot tell':
    case 'otherwise':
      return { kind: label }
    default:
      return { kind: 'word', word: label }
  }
}

function targetOf(tree: string, next: string): Target {
  if (next.startsWith('!')) return { kind: 'cause', equipment: 'set', cause: next.slice(1) }
  if (next.startsWith('.')) return { kind: 'end', tree, end: next.slice(1) }
  const [first = '', second] = next.split('#')
  return second === undefined
    ? { kind: 'check', tree, check: first }
    : { kind: 'check', tree: first, check: second }
}
