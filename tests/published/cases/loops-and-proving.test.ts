// What the trees about loops, spacing and proving owe to whoever trusts them. Each would have failed on an earlier
// edition. Common practice, no published source, but where one is named.

import { describe, expect, it } from 'vitest'
import type { Cause, Check } from '../../../server/knowledge/types.ts'
import { mayBeFitted } from '../../../server/walk/fit.ts'
import { checkNamed, comesTo, equipmentNamed, OVERSPEED_PAIR, pack, type Seen, treeNamed } from './on-site.ts'

const kit = 'loop-transmitter'
const causes = [...equipmentNamed(kit).causes.values()]
const checks = [...pack.trees.values()].flatMap(tree => [...tree.checks.values()])

describe('a shorted loop', () => {
  // Computed: a short at the link box of 100 m of 2.5 mm² leaves 1.48 ohm, and the lower limit is 1.229 ohm.
  const facts = { ...OVERSPEED_PAIR, 'cable length': '100' }
  const hidden: Seen[] = [
    ['which-channel-is-dead', 'arming'],
    ['arming-output-with-the-cable-off', '1.07'],
    ['arming-loop-resistance', '1.48'],
    // The trigger line has its loop too, some 0.07 ohm: no comparison shows the short.
    ['trigger-line-beside-the-arming-line', '1.56'],
  ]

  it('that reads in range is not called well: the line is tested on, and a test loop finds it', () => {
    expect(comesTo('one-loop-dead', hidden, facts)).toBe('one-loop-dead#leakage-of-the-arming-side')
    const place = comesTo(
      'one-loop-dead',
      [
        ...hidden,
        ['leakage-of-the-arming-side', '120 Mohm'],
        ['arming-core-to-core', '120 Mohm'],
        ['arming-output-into-the-test-loop', '1.09'],
        ['look-of-the-loop-on-load', 'nothing to see'],
      ],
      facts,
    )
    expect(place).toBe(`${kit}/loop-shorted`)
  })

  it('without a test loop stays open, and is not called healthy', () => {
    const seen: Seen[] = [
      ...hidden,
      ['leakage-of-the-arming-side', '120 Mohm'],
      ['arming-core-to-core', '120 Mohm'],
    ]
    expect(comesTo('one-loop-dead', seen, facts)).toBe('one-loop-dead#arming-output-into-the-test-loop')
    const without = checkNamed('one-loop-dead', 'look-without-a-test-loop').rows
    const nothing = without.find(row => row.label === 'nothing to see')?.next
    expect(nothing?.kind === 'end' && treeNamed(nothing.tree).ends.get(nothing.end)?.means).toBe('not tested')
  })
})

describe('a bad joint that reads in range', () => {
  // Computed: 450 m of 1.5 mm² reads 10.9 ohm at 20 °C and may read 14.4 ohm, so 3 ohm of a joint is in range.
  const facts = { ...OVERSPEED_PAIR, 'cable length': '450', 'conductor size': '1.5' }

  it('is found beside the other line of the same length', () => {
    const seen: Seen[] = [
      ['which-channel-is-dead', 'arming'],
      ['arming-output-with-the-cable-off', '1.07'],
      ['arming-loop-resistance', '13.9'],
      ['trigger-line-beside-the-arming-line', '10.9'],
    ]
    expect(comesTo('one-loop-dead', seen, facts)).toBe('one-loop-dead#arming-loop-at-the-link-box')
  })
})

describe('the proving test of the round', () => {
  const before: Seen[] = [
    ['lock-seals-and-damp', 'locked, sealed and dry'],
    ['label-settings-and-straps', 'as the diagram'],
    ['telltales-at-the-visit', 'all lit'],
    ['supply-at-the-visit', '112'],
    ['drive-current-at-the-visit', '0.04'],
    ['arming-output-at-the-visit', '1.1'],
    ['trigger-output-at-the-visit', '1.1'],
    ['drop-across-the-supply-contact-at-the-visit', '0.01'],
    ['loops-at-the-visit', 'firm and whole'],
    ['loop-survey', 'as the plan'],
  ]

  it('comes although the loops were not reached', () => {
    const place = checkNamed('maintenance-round', 'loops-at-the-visit').rows.find(
      row => row.match.kind === 'cannot tell',
    )
    expect(place?.next).toMatchObject({ check: 'how-this-set-is-told' })
    expect(comesTo('maintenance-round', before)).toBe('maintenance-round#loop-height-at-the-visit')
  })

  it('reads the healthy proving first, so that a dead feed does not pass', () => {
    const first = checkNamed('maintenance-round', 'proving-before-the-test')
    const [inRange] = first.rows
    expect(inRange?.next).toMatchObject({ check: 'proving-test' })
    expect(first.rows.at(-1)?.next).toMatchObject({ kind: 'end', end: 'fault-found-at-the-visit' })
  })

  it('opens each loop in turn, and only where an open output is allowed', () => {
    for (const name of ['proving-test', 'proving-test-of-the-trigger-loop']) {
      const check = checkNamed('maintenance-round', name)
      expect(check.cautions.join(' '), name).toMatch(/120 V.*only where the owner says so/)
      expect(check.instruction, name).toMatch(/drive off.*drive on/s)
    }
  })
})

describe('four-foot and signal', () => {
  it('nobody is sent to the loops while a signal shows proceed', () => {
    const field = checkNamed('trains-stopped-wrongly', 'field-at-the-loops-from-elsewhere')
    const before = checks.filter(check =>
      check.rows.some(row => row.next.kind === 'check' && row.next.check === field.slug),
    )
    expect(before.map(check => check.slug)).toEqual(['trigger-output-with-the-drive-off'])
    const blocked = checkNamed('trains-stopped-wrongly', 'drive-off-with-the-line-blocked')
    expect(blocked.cautions.join(' ')).toMatch(/signal stays at danger/)
  })

  it('no check at the loops asks for a proceed aspect', () => {
    for (const check of checks.filter(({ access }) => access === 'at the loops'))
      expect(check.instruction, check.title).not.toMatch(/proceed/)
  })
})

describe('a repair', () => {
  const proofs = (cause: Cause) => cause.prove.map(ref => ref.check)
  const CORES = /cable|core|joint|loop|link box/i

  // Crossed tails prove healthy and remove protection.
  it('of a cable or a loop proves which tone stands over which loop', () => {
    const near = causes.filter(({ title }) => CORES.test(title))
    expect(near.length).toBeGreaterThan(15)
    for (const cause of near)
      expect(proofs(cause), cause.title).toEqual(
        expect.arrayContaining(['tone-over-the-arming-loop', 'tone-over-the-trigger-loop']),
      )
  })

  it('by a new transmitter module proves that a dead loop is seen, on both loops', () => {
    const changed = causes.filter(({ replace }) => replace === 'transmitter module')
    expect(changed.length).toBeGreaterThan(5)
    for (const cause of changed)
      expect(proofs(cause), cause.title).toEqual(
        expect.arrayContaining([
          'proving-before-the-test',
          'proving-test',
          'proving-test-of-the-trigger-loop',
        ]),
      )
  })

  it('cuts nothing back before its release', () => {
    for (const cause of causes)
      expect(cause.remedy, cause.title).not.toMatch(/\b[Cc]ut (?:it |the wire )?back\b/)
  })
})

describe('a driven output', () => {
  // Computed: 450 m at an assumed 0.6 µH/m, untuned, 1.1 A at 65.25 kHz stands at 122 V.
  it('is marked live, and some 120 V is what the reckoning gives', () => {
    const volts = 2 * Math.PI * 65_250 * (450 * 0.6e-6) * 1.1
    expect(volts).toBeGreaterThan(115)
    expect(volts).toBeLessThan(125)
    const outputs = equipmentNamed(kit).terminals.filter(({ name }) => /^L?[AT][12]$/.test(name))
    expect(outputs.map(({ live }) => live)).toEqual(outputs.map(() => expect.stringContaining('120 V')))
    expect(outputs).toHaveLength(8)
  })

  it('is off before its cores are lifted, in every tree about the loops', () => {
    const trees = ['one-loop-dead', 'intermittent-in-the-wet', 'maintenance-round', 'damaged-or-tampered']
    const lifting = checks.filter(
      ({ tree, disturbs }) => trees.includes(tree) && /(?:cores?|loop ends) off/.test(disturbs ?? ''),
    )
    expect(lifting.length).toBeGreaterThan(20)
    for (const check of lifting)
      expect(`${check.cautions} ${check.instruction}`, `${check.tree}#${check.slug}`).toMatch(
        /drive (?:is )?off/,
      )
  })
})

describe('an insulation test', () => {
  const tests = checks.filter(
    check => check.insulationTest && ['one-loop-dead', 'intermittent-in-the-wet'].includes(check.tree),
  )

  it('says which end is off, so that nobody confirms what is not so', () => {
    expect(tests.length).toBeGreaterThan(8)
    const leavesOn = (check: Check) =>
      /cable and loop/.test(check.does.kind === 'measure' ? check.does.quantity : '')
    for (const check of tests) {
      expect(check.endsOff, check.title).toBeTruthy()
      if (leavesOn(check)) expect(check.endsOff, check.title).toMatch(/loop left on/)
    }
  })

  it('commands the discharge', () => {
    for (const check of tests) expect(check.instruction, check.title).toMatch(/Discharge/)
  })
})

describe('contact finish and loop size', () => {
  const at = (variant: string, facts: Record<string, string>) =>
    mayBeFitted(equipmentNamed(kit), { ...OVERSPEED_PAIR, ...facts }, 'transmitter module', variant).ok

  // Value from memory: gold contacts are the cure for a film, silver is the older finish.
  it('gold may take the place of silver, and silver not that of gold', () => {
    expect(at('overspeed, normal, gold', { 'contact finish': 'silver' })).toBe(true)
    expect(at('overspeed, normal, silver', { 'contact finish': 'gold' })).toBe(false)
  })

  it('a short loop takes its own variant at an overspeed pair too', () => {
    expect(at('short loop, normal, gold', { 'loop size': 'short' })).toBe(true)
    expect(at('overspeed, normal, gold', { 'loop size': 'short' })).toBe(false)
  })
})

describe('damp', () => {
  it('in the case does not end the walk unmeasured', () => {
    const [dry, wet] = checkNamed('intermittent-in-the-wet', 'damp-in-the-case').rows
    expect([dry?.next.kind, wet?.next.kind]).toEqual(['check', 'check'])
  })

  it('in a screen is told from an earth at the far end', () => {
    const place = comesTo('intermittent-in-the-wet', [
      ['damp-in-the-case', 'dry'],
      ['arming-insulation', '120 Mohm'],
      ['trigger-insulation', '120 Mohm'],
      ['arming-screen-isolation', '0.4 Mohm'],
      ['arming-screen-by-ohmmeter', 'high or drifting'],
    ])
    expect(place).toBe(`${kit}/cable-sheath-damp`)
  })
})

describe('wherever a step needs what may not be there', () => {
  const owned = [
    'one-loop-dead',
    'trains-stopped-wrongly',
    'intermittent-in-the-wet',
    'intermittent-with-trains',
    'maintenance-round',
    'wrong-direction-or-tone',
    'just-worked-on',
    'damaged-or-tampered',
  ]
  const SPECIAL = /tester|test load|test loop|receiver|hold$|current probe/

  it('the walk goes on without the instrument', () => {
    const needing = checks.filter(
      ({ tree, needs }) => owned.includes(tree) && needs.some(need => SPECIAL.test(need)),
    )
    expect(needing.length).toBeGreaterThan(30)
    const stuck = needing.filter(({ rows }) => !rows.some(row => row.match.kind === 'cannot tell'))
    expect(stuck.map(({ tree, slug }) => `${tree}#${slug}`)).toEqual([])
  })

  it('what was not tested never ends as healthy', () => {
    for (const { rows, tree, slug } of checks.filter(check => owned.includes(check.tree)))
      for (const { next, match } of rows) {
        if (match.kind !== 'cannot tell') continue
        if (next.kind !== 'end' || treeNamed(tree).kind === 'round') continue
        expect(treeNamed(next.tree).ends.get(next.end)?.means, `${tree}#${slug}`).toMatch(
          /not tested|pass on/,
        )
      }
  })
})
