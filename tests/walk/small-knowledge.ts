// One small invented kind of equipment and one tree, written out as compiled, so that these tests need no compiler.

import type {
  Cause,
  Check,
  End,
  Equipment,
  FaultTree,
  Knowledge,
  Row,
  Target,
} from '../../server/knowledge/types.ts'
import { nothingStated } from '../../server/measurement/instruments/suitability.ts'

const source = { path: 'trees/output-dead.md', line: 1 }
const equipmentSlug = 'loop-transmitter'
export const treeSlug = 'output-dead'

export const at = (check: string) => ({ tree: treeSlug, check })
const toCheck = (check: string): Target => ({ kind: 'check', ...at(check) })
const toCause = (cause: string): Target => ({ kind: 'cause', equipment: equipmentSlug, cause })
const toEnd = (end: string): Target => ({ kind: 'end', tree: treeSlug, end })

type Match = Exclude<Row['match']['kind'], 'band'>

function row(label: string, next: Target): Row {
  const sides = ['in range', 'below', 'above', 'none', 'open', 'cannot tell', 'otherwise']
  const match = sides.includes(label)
    ? { kind: label as Exclude<Match, 'word'> }
    : ({ kind: 'word', word: label } as const)
  return { label, match, means: `Means ${label}.`, next, source }
}

function check(slug: string, does: 'measure' | 'observe', disturbs: string | null, rows: Row[]): Check {
  return {
    tree: treeSlug,
    slug,
    title: `Check ${slug}`,
    cautions: [],
    instruction: '',
    does:
      does === 'observe'
        ? { kind: 'observe', what: slug, between: [], clamp: false }
        : {
            kind: 'measure',
            quantity: slug,
            unit: 'V AC',
            meter: 'V AC',
            between: [],
            clamp: false,
            limit: null,
            expectation: null,
            expectText: '',
            atFault: [],
            nothing: null,
            from: '',
            demo: true,
            role: null,
          },
    minutes: 3,
    access: null,
    needs: [],
    instrument: nothingStated,
    insulationTest: false,
    endsOff: null,
    disturbs,
    blind: false,
    slip: null,
    rows,
    source,
  }
}

function cause(slug: string, prove: string[]): Cause {
  return {
    equipment: equipmentSlug,
    slug,
    title: `Cause ${slug}`,
    share: 1,
    minutes: 10,
    remedy: 'Mend it.',
    cautions: [],
    prove: prove.map(at),
    replace: null,
    source,
  }
}

/** supply → drive → contact, with a fuse aside and a circle from drive back to supply. */
const checks = [
  check('supply', 'measure', null, [
    row('in range', toCheck('drive')),
    row('none', toCheck('fuse')),
    row('otherwise', toCause('feeder')),
  ]),
  check('fuse', 'observe', 'the supply fuse, out of its holder', [
    row('blown', toCause('fuse-blown')),
    row('whole', toCause('fuse-holder')),
  ]),
  check('drive', 'measure', null, [
    row('in range', toCheck('contact')),
    row('below', toCause('drive-lead')),
    row('none', toCheck('supply')),
  ]),
  check('contact', 'measure', 'the lead at the contact, off', [
    row('in range', toEnd('nothing-found')),
    row('above', toCause('contact-worn')),
    row('cannot tell', toEnd('passed-on')),
  ]),
]

const end = (slug: string, means: End['means']): End => ({
  tree: treeSlug,
  slug,
  title: `End ${slug}`,
  means,
  about: '',
  cautions: [],
  source,
})

const tree: FaultTree = {
  slug: treeSlug,
  title: 'Output dead',
  equipment: equipmentSlug,
  symptom: 'output lamp dark',
  kind: 'fault',
  about: '',
  cautions: [],
  start: at('supply'),
  checks: new Map(checks.map(one => [one.slug, one])),
  ends: new Map([
    ['nothing-found', end('nothing-found', 'no fault found')],
    ['passed-on', end('passed-on', 'pass on')],
  ]),
  reviewBy: null,
  examples: [],
  source,
}

const causes = [
  cause('feeder', ['supply']),
  cause('fuse-blown', ['supply', 'fuse']),
  cause('fuse-holder', ['supply']),
  cause('drive-lead', ['drive']),
  cause('contact-worn', ['contact']),
]

export const equipment: Equipment = {
  slug: equipmentSlug,
  name: 'Loop transmitter',
  about: '',
  cautions: [],
  terminals: [],
  access: [],
  units: [
    {
      kind: 'transmitter module',
      variant: 'N1',
      fits: [
        { fact: 'direction', values: ['normal'] },
        { fact: 'duty', values: ['overspeed', 'speed restriction'] },
      ],
      superseded: false,
      settings: ['output tap'],
      source,
    },
    {
      kind: 'transmitter module',
      variant: 'P1',
      fits: [{ fact: 'direction', values: ['opposite'] }],
      superseded: false,
      settings: ['output tap'],
      source,
    },
    { kind: 'power module', variant: 'A', fits: [], superseded: false, settings: [], source },
  ],
  facts: [],
  limits: [],
  testsAfterWork: [],
  causes: new Map(causes.map(one => [one.slug, one])),
  source,
}

export const knowledge: Knowledge = {
  equipment: new Map([[equipmentSlug, equipment]]),
  trees: new Map([[treeSlug, tree]]),
}

export const checkSlugs = checks.map(one => one.slug)
export const causeKeys = causes.map(one => `${equipmentSlug}/${one.slug}`)
