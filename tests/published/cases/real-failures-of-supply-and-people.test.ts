// Real failures from public reports, walked through the pack with what people on site could see.
//
// Few public accounts concern these loops themselves; most are neighbouring lineside equipment and exercise the same
// branches. Each test says which: the tree reaches the real cause, or the guard that would have caught it is met.
// Kinds: source (read in the source), secondary (read in a page that quotes it), common practice.

import { describe, expect, it } from 'vitest'
import { fittingVariants } from '../../../server/walk/fit.ts'
import {
  causeText,
  checkNamed,
  comesTo,
  equipmentNamed,
  OVERSPEED_PAIR,
  pack,
  type Seen,
  treeNamed,
  walkOnSite,
} from './on-site.ts'

const kit = 'loop-transmitter'

describe('supply and indication', () => {
  // Press report (secondary): all signals to red, a power cable cut.
  it('a feeder cut: a dead position leads over to the feeder, and continuity reaches the cause', () => {
    const feeder = { 'feeder voltage': '110', 'feeder length': '800', 'feeder core': '10' }
    const seen: Seen[] = [
      ['supply-at-the-power-module', '0.2'],
      ['busbar-voltage', 'none'],
      ['case-supply-dead#extent-of-the-supply-failure', 'every case on the feeder'],
      ['case-supply-dead#leave-to-test-the-sending-end', 'licensed and rated'],
      ['case-supply-dead#sending-voltage', '112.6'],
      ['case-supply-dead#section-by-halves', 'one section found'],
      ['case-supply-dead#feeder-cores-looped', 'OL'],
    ]
    const facts = { ...OVERSPEED_PAIR, ...feeder }
    expect(comesTo('supply-absent-or-low', seen, facts)).toBe('case-supply/feeder-cable-cut')
    expect(
      checkNamed('case-supply-dead', 'insulation-of-the-feeder').rows.map(row => row.next),
    ).not.toContainEqual(expect.objectContaining({ cause: 'feeder-cable-cut' }))
  })

  // Investigation RO-2015-010 (source): a missing indication was taken for a lamp fault, and was right.
  it('an indication that is right: the tree leads to the real fault and not to the lamp', () => {
    const place = comesTo('failure-with-lamp-failure', [
      ['how-the-failure-is-shown', 'lamp circuit'],
      ['look-of-the-red-lamp', 'lit'],
      ['filament-in-use', 'main, or one filament only'],
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
      ['filament-in-use', 'main, or one filament only'],
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
      ['supply-absent-or-low#supply-at-the-power-module', 'none'],
      ['supply-absent-or-low#busbar-voltage', 'none'],
      ['case-supply-dead#extent-of-the-supply-failure', 'this case only'],
      ['case-supply-dead#transformer-output', '111.8'],
      ['case-supply-dead#voltage-across-the-case-fuse', '111.7'],
      ['case-supply-dead#case-fuse-by-itself', 'blown'],
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
      ['test-at-a-proceed-aspect', 'agreed'],
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
      ['suppression-after-its-link', '24.0'],
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
  it('one cab alone: the track is tested first, and then it passes to those who look after the train', () => {
    const first: Seen[] = [['one-train-or-several', 'one train only']]
    expect(comesTo('trains-stopped-wrongly', first)).toBe('trains-stopped-wrongly#what-happened-to-the-train')
    const place = comesTo('trains-stopped-wrongly', [
      ...first,
      ['what-happened-to-the-train', 'none of these'],
      ['when-the-one-train-was-stopped', 'below the set speed'],
      ['timer-of-the-train', 'slower than that speed'],
      ['what-the-pair-is-for', 'overspeed, speed restriction or buffer stop'],
      ['loop-spacing-measured', '17.41'],
      ['set-speed-on-the-plan', 'agrees'],
      ['field-beside-the-loops', 'one of each'],
    ])
    expect(place).toBe('trains-stopped-wrongly#pair-acts-as-designed')
    const end = treeNamed('trains-stopped-wrongly').ends.get('pair-acts-as-designed')
    expect(end?.means).toBe('pass on')
    expect(end?.about).toMatch(/second train/)
  })

  // Common practice, no published source: evidence stays as found where protection may have been lost unseen.
  it('a dead output that nobody was told of: the proving is measured before anything is touched', () => {
    const tree = treeNamed('telltale-found-out')
    expect(tree.cautions.join(' ')).toMatch(/stays as found/)
    const disturbing = [...tree.checks.values()].filter(check => check.disturbs !== null)
    expect(disturbing.map(check => check.slug)).toEqual(['proving-voltage-with-its-outgoing-core-off'])
    // What is lifted is lifted after a release alone: no other row leads there.
    const leading = [...pack.trees.values()]
      .flatMap(one => [...one.checks.values()])
      .flatMap(check => check.rows.map(row => ({ check: check.slug, row })))
      .filter(({ row }) => row.next.kind === 'check' && row.next.check === disturbing[0]?.slug)
    expect(leading.map(({ check, row }) => [check, row.label])).toEqual([
      ['release-of-the-equipment', 'released'],
    ])
  })
})
