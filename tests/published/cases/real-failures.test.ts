// Real failures from public reports, walked through the pack with what people on site could see.
//
// Few public accounts concern these loops themselves; most are neighbouring lineside equipment and exercise the same
// branches. Each test says which: the tree reaches the real cause, or the guard that would have caught it is met.
// Kinds: source (read in the source), secondary (read in a page that quotes it), common practice.

import { describe, expect, it } from 'vitest'
import { fittingVariants } from '../../../server/walk/fit.ts'
import {
  checkNamed,
  comesTo,
  equipmentNamed,
  OVERSPEED_PAIR,
  pack,
  treeNamed,
  walkOnSite,
} from './on-site.ts'

const kit = 'loop-transmitter'

function causeText(cause: string): string {
  const [equipment = '', slug = ''] = cause.split('/')
  const found = pack.equipment.get(equipment)?.causes.get(slug)
  if (!found) throw new Error(`The pack has no cause ${cause}.`)
  return [found.remedy, ...found.cautions].join(' ')
}

describe('work and wiring', () => {
  // Accident investigation report 10/2022 (source: summary): strap and link inside a like-for-like spare.
  it('a spare with other straps inside: the cause is reached by comparing settings', () => {
    const place = comesTo('just-worked-on', [
      ['what-was-worked-on', 'module changed'],
      ['front-of-the-new-module', 'latched and allowed here'],
      ['settings-of-the-new-module', 'different'],
    ])
    expect(place).toBe(`${kit}/module-settings-wrong`)
    const [module] = equipmentNamed(kit).units
    expect(module?.settings.length).toBeGreaterThan(0)
  })

  // The same report: the test that would have caught it was interrupted, then believed done.
  it('a test that was broken off: the tree says that it counts as not done', () => {
    expect(treeNamed('just-worked-on').cautions.join(' ')).toMatch(/broken off counts as not done/)
    expect(treeNamed('maintenance-round').cautions.join(' ')).toMatch(/broken off counts as not done/)
  })

  // Accident investigation report 19/2018 (secondary): test wiring stayed in place.
  it('temporary test wiring left in: the cause is reached', () => {
    const place = comesTo('just-worked-on', [
      ['what-was-worked-on', 'wires moved or tested'],
      ['leads-and-straps-left-in-the-case', 'strap or lead'],
    ])
    expect(place).toBe(`${kit}/temporary-strap-left`)
  })

  // Accident of 1988 and the summary of May 2024 (secondary): a loose redundant wire touched a live circuit.
  it('a loose wire that feeds a circuit falsely: the cause is reached with the module driven when it should be off', () => {
    const place = comesTo('trains-stopped-wrongly', [
      ['one-train-or-several', 'several trains'],
      ['when-they-were-stopped', 'at a proceed aspect'],
      ['drive-with-no-drive-due', '23.8'],
      ['drive-with-its-wire-off', '23.8'],
    ])
    expect(place).toBe(`${kit}/stray-feed-on-the-drive`)
    expect(causeText(place)).toMatch(/insulate it and secure it/)
  })

  it('a loose wire left after work: the cause is reached, and the wires are counted again', () => {
    const place = comesTo('just-worked-on', [
      ['what-was-worked-on', 'nothing known'],
      ['leads-and-straps-left-in-the-case', 'loose or spare wire'],
    ])
    expect(place).toBe(`${kit}/loose-wire-left`)
    expect(causeText(place)).toMatch(/count the wires again/)
  })

  // Press report (secondary): a circuit connected wrongly after maintenance; every neighbour was looked at.
  it('a wire returned to the wrong terminal: the cause is reached, and the whole function is tested', () => {
    const place = comesTo('just-worked-on', [
      ['what-was-worked-on', 'wires moved or tested'],
      ['leads-and-straps-left-in-the-case', 'none'],
      ['wires-against-the-diagram', 'wire on the wrong terminal'],
    ])
    expect(place).toBe(`${kit}/wire-on-the-wrong-terminal`)
    expect(causeText(place)).toMatch(/test the whole function/)
  })

  // Investigation of Jan 2019 (secondary): isolation applied to other lines than the stated ones.
  it('an isolation error: no wire of the 110 V supply is lifted without a warning to isolate first', () => {
    const live = equipmentNamed(kit).terminals.filter(terminal => terminal.live !== null)
    const lifted = [...pack.trees.values()]
      .flatMap(tree => [...tree.checks.values()])
      .filter(check =>
        live.some(({ name }) => new RegExp(`wires? off .*\\b${name}\\b`).test(check.disturbs ?? '')),
      )
    expect(lifted.map(check => check.slug)).toContain('insulation-of-the-supply-wires')
    for (const check of lifted) expect(check.cautions.join(' '), check.title).toMatch(/isolat/)
  })
})

describe('cables, insulation and loops', () => {
  const armingDead: [string, string][] = [
    ['which-channel-is-dead', 'arming'],
    ['arming-output-with-the-cable-off', '1.07'],
  ]

  // Confidential safety report (secondary): a cable fault made a right-side failure that lasted for weeks.
  it('a cable core open: the cause is reached', () => {
    const place = comesTo('one-loop-dead', [
      ...armingDead,
      ['arming-loop-resistance', 'OL'],
      ['arming-loop-at-the-link-box', '0.14'],
      ['terminations-of-the-cable', 'sound'],
    ])
    expect(place).toBe(`${kit}/cable-core-open`)
  })

  // Collision of Jul 2014 (secondary): rodents gnawed signal cables; continuity alone would have shown nothing.
  it('gnawed cores that feed a false indication: the cause is reached by insulation, core to core', () => {
    const place = comesTo('indication-wrong', [
      ['voltage-at-the-repeater-relay', '23.9'],
      ['drop-across-the-repeater-contact', '0.04'],
      ['voltage-on-the-line', '36'],
      ['insulation-of-the-line', '0.03 Mohm'],
    ])
    expect(place).toBe('failure-indication/line-core-leaking')
    expect(checkNamed('indication-wrong', 'insulation-of-the-line').instruction).toMatch(/core to core/)
  })

  // Practitioner's comment (secondary, weak): failures in wet weather after digging.
  it('a buried cable struck by digging: the cause is reached in the wet, and the route goes on record', () => {
    const place = comesTo('intermittent-in-the-wet', [
      ['damp-in-the-case', 'dry'],
      ['arming-insulation', '0.11 Mohm'],
      ['arming-cable-insulation-alone', '0.12 Mohm'],
      ['joints-in-the-cable', 'no joint or all dry'],
    ])
    expect(place).toBe(`${kit}/cable-insulation-failed`)
    expect(causeText(place)).toMatch(/digging/)
  })

  // Road-loop survey (secondary): wire broken by movement was a chief cause of dead loops.
  it('a loop broken because its fixing let it move: the cause is reached', () => {
    const place = comesTo('one-loop-dead', [
      ...armingDead,
      ['arming-loop-resistance', 'OL'],
      ['arming-loop-at-the-link-box', 'OL'],
      ['look-of-the-loop', 'fixing loose or missing'],
    ])
    expect(place).toBe(`${kit}/loop-fixing-loose`)
  })

  // Road-loop research (secondary): a self-adjusting unit can mask a loop and lead-in that degrade.
  it('slow drift: the round writes down values, with the range hidden, instead of a tick', () => {
    const round = [...treeNamed('maintenance-round').checks.values()]
    const blind = round.filter(check => check.does.kind === 'measure' && check.blind)
    expect(blind.length).toBeGreaterThanOrEqual(4)
  })

  // Maintenance course (secondary): the whole loop was about to be dug up; start with the easiest section.
  it('a dead loop: nobody is sent to the loops before the case and the link box have been tried', () => {
    const order = ['open the case', 'at the link box', 'at the loops']
    const result = walkOnSite('one-loop-dead', [
      ...armingDead,
      ['arming-loop-resistance', 'OL'],
      ['arming-loop-at-the-link-box', 'OL'],
      ['look-of-the-loop', 'nothing to see'],
    ])
    const met = result.path.flatMap(step =>
      step.kind === 'check' ? order.indexOf(step.check.access ?? '') : [],
    )
    expect(met).toEqual([0, 0, 0, 1, 2])
  })

  // Road authority's guide (secondary): faults at the terminations.
  it('a bad termination: the cause is reached without touching the loop', () => {
    const place = comesTo('one-loop-dead', [
      ...armingDead,
      ['arming-loop-resistance', '14.2'],
      ['arming-loop-at-the-link-box', '0.15'],
      ['terminations-of-the-cable', 'loose, green or broken'],
    ])
    expect(place).toBe(`${kit}/loop-termination-loose`)
  })
})

describe('supply and indication', () => {
  // Press report (secondary): all signals to red, a power cable cut.
  it('a feeder cut: a dead position leads over to the feeder, and the cause is reached', () => {
    const place = comesTo('supply-absent-or-low', [
      ['supply-at-the-power-module', '0.2'],
      ['busbar-voltage', 'none'],
      ['case-supply-dead#extent-of-the-supply-failure', 'every case on the feeder'],
      ['case-supply-dead#sending-voltage', '112.6'],
      ['case-supply-dead#insulation-of-the-feeder', '64 Mohm'],
    ])
    expect(place).toBe('case-supply/feeder-cable-cut')
  })

  // Investigation RO-2015-010 (source): a missing indication was taken for a lamp fault, and was right.
  it('an indication that is right: the tree leads to the real fault and not to the lamp', () => {
    const place = comesTo('failure-with-lamp-failure', [
      ['how-the-failure-is-shown', 'lamp circuit'],
      ['look-of-the-red-lamp', 'lit'],
      ['failure-indicated-all-well#proving-voltage', '0.1'],
      ['failure-indicated-all-well#proving-feed', '24.3'],
      ['failure-indicated-all-well#arming-output-while-indicated', '0.03'],
      ['one-loop-dead#arming-output-with-the-cable-off', '1.09'],
      ['one-loop-dead#arming-loop-resistance', 'OL'],
      ['one-loop-dead#arming-loop-at-the-link-box', 'OL'],
      ['one-loop-dead#look-of-the-loop', 'nothing to see'],
    ])
    expect(place).toBe(`${kit}/loop-conductor-broken`)
    expect(treeNamed('failure-indicated-all-well').cautions.join(' ')).toMatch(/Believe the indication/)
  })

  // Examination study group (secondary, general statement): a red-lamp report that is the proving.
  it('a red lamp reported failed that is well: lamp and proving are tested each by itself, and the cause is reached', () => {
    const place = comesTo('failure-with-lamp-failure', [
      ['how-the-failure-is-shown', 'lamp circuit'],
      ['look-of-the-red-lamp', 'lit'],
      ['failure-indicated-all-well#proving-voltage', '0.0'],
      ['failure-indicated-all-well#proving-feed', '24.1'],
      ['failure-indicated-all-well#arming-output-while-indicated', '1.08'],
      ['failure-indicated-all-well#trigger-output-while-indicated', '1.10'],
      ['failure-indicated-all-well#settings-of-the-module', 'as the diagram'],
      ['failure-indicated-all-well#resistance-of-the-proving-contact', '38'],
    ])
    expect(place).toBe(`${kit}/proving-contact-film`)
  })

  // Examination study group (secondary, general statement): trackside power lost, and nobody knew.
  it('power lost where nothing is indicated: the visit finds it, and the cause is reached', () => {
    const place = comesTo('telltale-found-out', [
      ['whether-a-failure-should-show', 'not indicated, drive due'],
      ['which-telltale-is-out', 'all dark'],
      ['supply-absent-or-low#busbar-voltage', 'none'],
      ['case-supply-dead#extent-of-the-supply-failure', 'this case only'],
      ['case-supply-dead#transformer-output', '111.8'],
      ['case-supply-dead#voltage-across-the-case-fuse', '111.7'],
    ])
    expect(place).toBe('case-supply/case-fuse-blown')
  })

  // The same statement: equipment wrongly installed.
  it('a module of the other direction: the label finds it, and the variants allowed here leave it out', () => {
    const place = comesTo('wrong-direction-or-tone', [['label-of-the-fitted-module', 'not allowed here']])
    expect(place).toBe(`${kit}/wrong-transmitter-module-fitted`)
    const variants = fittingVariants(equipmentNamed(kit), OVERSPEED_PAIR, 'transmitter module')
    const allowed = variants.filter(({ fit }) => fit.ok).map(({ unit }) => unit.variant)
    expect(allowed).toEqual(['overspeed, normal, gold'])
  })

  it('a module of the other direction with a wrong label: the tone finds it', () => {
    const place = comesTo('wrong-direction-or-tone', [
      ['label-of-the-fitted-module', 'allowed here'],
      ['arming-tone', '64.75 kHz'],
      ['which-tone-it-is', '64.75 kHz'],
    ])
    expect(place).toBe(`${kit}/wrong-transmitter-module-fitted`)
  })
})

describe('history, evidence and people', () => {
  // Confidential safety report (secondary): a distant signal always at caution, known before it was reported.
  it('a signal whose controls keep it back: it passes to those who look after the controls', () => {
    const place = comesTo('trains-stopped-wrongly', [
      ['one-train-or-several', 'several trains'],
      ['when-they-were-stopped', 'at a proceed aspect'],
      ['drive-with-no-drive-due', '24.2'],
      ['drive-with-its-wire-off', '0.1'],
      ['drive-relay-with-a-proceed-aspect', 'wrong for proceed'],
    ])
    expect(place).toBe('trains-stopped-wrongly#signal-controls-wrong')
    expect(treeNamed('trains-stopped-wrongly').ends.get('signal-controls-wrong')?.means).toBe('pass on')
  })

  // Trade press, Sep 2014 (secondary): parts changed by substitution, and the failure came back the next day.
  it('change by substitution: a film is reached before any module is blamed', () => {
    const walked = walkOnSite('output-dead-drive-present', [
      ['module-supply', '24.1'],
      ['arming-output', '0.02'],
      ['trigger-output', '0.03'],
      ['front-of-the-transmitter-module', 'latched and allowed here'],
      ['drop-across-the-suppression-link', '0.003'],
      ['drop-across-the-supply-contact', '0.47'],
    ])
    expect(walked.place).toMatchObject({ kind: 'cause', cause: { slug: 'film-on-the-module-contacts' } })
    expect(causeText(`${kit}/film-on-the-module-contacts`)).toMatch(/comes back/)
  })

  it('change by substitution: no row blames a unit on looks alone, save a label, a seal or a tap', () => {
    const allowed = new Set([
      'mixed-contact-finishes',
      'wrong-transmitter-module-fitted',
      'module-seal-broken',
      'transformer-failed',
    ])
    const blamed = [...pack.trees.values()]
      .flatMap(tree => [...tree.checks.values()])
      .filter(check => check.does.kind === 'observe')
      .flatMap(check => check.rows.map(row => row.next))
      .flatMap(next =>
        next.kind === 'cause' ? (pack.equipment.get(next.equipment)?.causes.get(next.cause) ?? []) : [],
      )
      .filter(cause => cause.replace !== null && !allowed.has(cause.slug))
    expect(blamed.map(cause => cause.slug)).toEqual([])
  })

  // Safety digest 08/2024 (source): a case meant to be sealed was in routine use.
  it('a broken seal: the round finds it, and the walk for damage reaches the cause', () => {
    expect(comesTo('maintenance-round', [['lock-seals-and-damp', 'lock or seal broken']])).toBe(
      'maintenance-round#fault-found-at-the-visit',
    )
    const place = comesTo('damaged-or-tampered', [
      ['live-parts-in-reach', 'none'],
      ['what-is-damaged', 'case forced or unlocked'],
      ['inside-of-the-case', 'seal broken, missing or different'],
    ])
    expect(place).toBe(`${kit}/module-seal-broken`)
  })

  // Forum account (secondary): an indication in one cab alone, gone without lineside work.
  it('one cab alone: it passes to those who look after the train, and stays to be looked at', () => {
    const place = comesTo('trains-stopped-wrongly', [['one-train-or-several', 'one train only']])
    expect(place).toBe('trains-stopped-wrongly#one-train-alone')
    expect(treeNamed('trains-stopped-wrongly').ends.get('one-train-alone')?.about).toMatch(/second train/)
  })

  // Common practice, no published source: evidence stays as found where protection may have been lost unseen.
  it('a dead output that nobody was told of: the proving is measured before anything is touched', () => {
    const tree = treeNamed('telltale-found-out')
    expect(tree.cautions.join(' ')).toMatch(/stays as found/)
    expect([...tree.checks.values()].filter(check => check.disturbs !== null)).toEqual([])
  })
})
