// Real failures from public reports, walked through the pack with what people on site could see.
//
// Few public accounts concern these loops themselves; most are neighbouring lineside equipment and exercise the same
// branches. Each test says which: the tree reaches the real cause, or the guard that would have caught it is met.
// Kinds: source (read in the source), secondary (read in a page that quotes it), common practice.

import { describe, expect, it } from 'vitest'
import { causeText, checkNamed, comesTo, equipmentNamed, pack, treeNamed, walkOnSite } from './on-site.ts'

const kit = 'loop-transmitter'

describe('work and wiring', () => {
  // Accident investigation report 10/2022 (source: summary): strap and link inside a like-for-like spare.
  it('a spare with other straps inside: the cause is reached by comparing settings', () => {
    const place = comesTo('just-worked-on', [
      ['what-was-worked-on', 'module changed'],
      ['front-of-the-new-module', 'settings different'],
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
      ['leads-straps-and-wires-in-the-case', 'strap or lead'],
    ])
    expect(place).toBe(`${kit}/temporary-strap-left`)
  })

  // Accident of 1988 and the summary of May 2024 (secondary): a loose redundant wire touched a live circuit.
  it('a loose wire that feeds a circuit falsely: the cause is reached with the module driven when it should be off', () => {
    const place = comesTo('trains-stopped-wrongly', [
      ['one-train-or-several', 'several trains'],
      ['when-they-were-stopped', 'at a proceed aspect'],
      ['test-at-a-proceed-aspect', 'agreed'],
      ['drive-with-no-drive-due', '23.8'],
      ['drive-with-its-wire-off', '23.8'],
    ])
    expect(place).toBe(`${kit}/stray-feed-on-the-drive`)
    expect(causeText(place)).toMatch(/insulate it and secure it/)
  })

  it('a loose wire left after work: the cause is reached, and the wires are counted again', () => {
    const place = comesTo('just-worked-on', [
      ['what-was-worked-on', 'nothing known'],
      ['leads-straps-and-wires-in-the-case', 'loose or spare wire'],
    ])
    expect(place).toBe(`${kit}/loose-wire-left`)
    expect(causeText(place)).toMatch(/count the wires again/)
  })

  // Press report (secondary): a circuit connected wrongly after maintenance; every neighbour was looked at.
  it('a wire returned to the wrong terminal: the cause is reached, and the whole function is tested', () => {
    const place = comesTo('just-worked-on', [
      ['what-was-worked-on', 'wires moved or tested'],
      ['leads-straps-and-wires-in-the-case', 'wire on the wrong terminal'],
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
      ['arming-link-box-and-connector', 'dry'],
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
