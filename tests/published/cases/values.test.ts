// Values in the pack, held against their sources. The kind stands beside each: source, secondary, memory, computed.

import { describe, expect, it } from 'vitest'
import { expectedAt } from '../../../server/walk/expected.ts'
import { walk } from '../../../server/walk/place.ts'
import { checkNamed, comesTo, equipmentNamed, limitAt, OVERSPEED_PAIR, pack, type Seen } from './on-site.ts'

const kit = 'loop-transmitter'

// Value from memory (agrees with two arming tones and one trigger tone each way, read in the source).
const TONES: { khz: number; direction: string; role: string }[] = [
  { khz: 64.25, direction: 'normal', role: 'Arming tone of overspeed loops' },
  { khz: 64.75, direction: 'opposite', role: 'Arming tone of overspeed loops' },
  { khz: 65.25, direction: 'normal', role: 'Trigger tone' },
  { khz: 65.75, direction: 'opposite', role: 'Trigger tone' },
  { khz: 66.25, direction: 'normal', role: 'Arming tone of train-stop loops' },
  { khz: 66.75, direction: 'opposite', role: 'Arming tone of train-stop loops' },
]

function meaningOf(fact: string): string {
  return equipmentNamed(kit).facts.find(candidate => candidate.name === fact)?.meaning ?? ''
}

describe('tones', () => {
  it.each(TONES)('$khz kHz is told apart as the $role, $direction direction', ({ khz, direction, role }) => {
    const rows = checkNamed('wrong-direction-or-tone', 'which-tone-it-is').rows
    const found = rows.filter(row => {
      const [low = 0, high = 0] = row.label.split(' to ').map(part => Number.parseFloat(part))
      return low <= khz && khz <= high
    })
    expect(found.map(row => row.means)).toEqual([expect.stringContaining(role)])
    expect(found[0]?.means).toContain(`${direction} direction`)
  })

  it.each(TONES)('$khz kHz stands in the meaning of a fact', ({ khz }) => {
    expect(meaningOf('arming tone') + meaningOf('trigger tone')).toContain(String(khz))
  })

  // Computed: half of the 0.5 kHz between neighbours is the widest window that tells two tones apart.
  it('the window round a tone ends half-way to its neighbour', () => {
    const range = limitAt(kit, 'arming tone limits', [['arming tone', { value: 64.25, unit: 'kHz' }]])
    expect(range.min).toBeCloseTo(64_000, 6)
    expect(range.max).toBeCloseTo(64_500, 6)
  })
})

describe('timer and spacing', () => {
  it('the standard timer value stands in the meaning of its fact', () => {
    // Value from memory: 974 ms.
    expect(meaningOf('timer')).toContain('974 ms')
  })

  // Computed from distance = speed × time, 1 mph = 0.44704 m/s; the timers are values from memory.
  it.each([
    [10, 974, 4.35],
    [15, 974, 6.53],
    [20, 974, 8.71],
    [25, 974, 10.89],
    [30, 974, 13.06],
    [40, 974, 17.42],
    [45, 974, 19.59],
    [50, 974, 21.77],
    [60, 974, 26.13],
    [65, 974, 28.3],
    [75, 974, 32.66],
    [100, 974, 43.54],
    [10, 1218, 5.44],
    [40, 1218, 21.78],
    [75, 1218, 40.84],
  ])('a set speed of %d mph and a timer of %d ms ask for %d m', (mph, ms, metres) => {
    const range = limitAt(kit, 'spacing', [
      ['set speed', { value: mph, unit: 'mph' }],
      ['timer', { value: ms, unit: 'ms' }],
    ])
    const middle = ((range.min ?? 0) + (range.max ?? 0)) / 2
    expect(Math.abs(middle - metres)).toBeLessThanOrEqual(0.0051)
  })

  const toTheTape: Seen[] = [
    ['one-train-or-several', 'several trains'],
    ['when-they-were-stopped', 'below the set speed'],
    ['timer-of-the-train', 'slower than that speed'],
    ['what-the-pair-is-for', 'overspeed, speed restriction or buffer stop'],
  ]

  // Secondary: arming-to-trigger about 4 m to 36 m. Too short stops slow trains, too long lets fast ones by (computed).
  it('too short stops slow trains; too long cannot, and is put on record as protection lost', () => {
    const at = (spacing: string) =>
      comesTo('trains-stopped-wrongly', [...toTheTape, ['loop-spacing-measured', spacing]])
    expect(at('16.20')).toBe(`${kit}/loop-spacing-too-short`)
    expect(at('17.40')).toBe('trains-stopped-wrongly#set-speed-on-the-plan')
    expect(at('18.60')).toBe('trains-stopped-wrongly#set-speed-on-the-plan')
    const above = checkNamed('trains-stopped-wrongly', 'loop-spacing-measured').rows.find(
      row => row.match.kind === 'above',
    )
    expect(above?.means).toMatch(/protection may be lost/)
    const round = checkNamed('maintenance-round', 'spacing-at-the-visit').rows
    const tooLong = round.find(row => row.match.kind === 'above')?.next
    expect(tooLong).toMatchObject({ cause: 'loop-spacing-too-long' })
  })

  // Source: the examination article (loops of a train stop back to back, no timing). 1.2 m is any healthy gap: by the
  // formula of a pair it would read too short, and the loops would be moved.
  it('says nothing of a train stop, whose loops lie back to back', () => {
    const trainStop = { ...OVERSPEED_PAIR, duty: 'train stop', 'set speed': '10', 'arming tone': '66.25' }
    const equipment = equipmentNamed(kit)
    for (const check of [...pack.trees.values()].flatMap(tree => [...tree.checks.values()])) {
      if (check.does.kind !== 'measure' || check.does.limit !== 'spacing') continue
      const { range } = expectedAt(equipment, trainStop, walk(pack, check.tree, []), check)
      expect(range, check.title).toBeNull()
    }
    expect(equipment.limits.find(limit => limit.name === 'train stop gap')?.expectation).toBeNull()
  })
})

describe('copper', () => {
  // Loop resistance of a 100 m twin run: R = 2·L·R20·(234.5 + t)/254.5 with R20 of IEC 60228 class 2 plain.
  // R20 is secondary (three pages agree), the factor from memory, the products computed.
  it.each([
    ['0.5', 6.634, 7.766],
    ['0.75', 4.515, 5.285],
    ['1', 3.336, 3.905],
    ['1.5', 2.23, 2.61],
    ['2.5', 1.366, 1.599],
    ['4', 0.85, 0.995],
    ['6', 0.568, 0.664],
    ['10', 0.337, 0.395],
    ['16', 0.212, 0.248],
  ])('100 m of %s mm² is held against %d ohm at 0 °C and %d ohm at 40 °C', (size, cold, warm) => {
    const facts = { ...OVERSPEED_PAIR, 'cable length': '100', 'conductor size': size }
    for (const slug of ['arming-loop-resistance', 'trigger-loop-resistance']) {
      const check = checkNamed('one-loop-dead', slug)
      const { range } = expectedAt(equipmentNamed(kit), facts, walk(pack, 'one-loop-dead', []), check)
      // Secondary: above 120 % of the calculated value is not acceptable; 0.3 ohm for the loop is a demo value.
      const [low, high] = [0.9 * cold, 1.2 * warm + 0.3]
      // Bounds are rounded inwards, by at most a hundredth of the width, so that they can be shown.
      const inwards = (high - low) / 100
      expect((range?.min ?? 0) - low).toBeGreaterThanOrEqual(-0.0006)
      expect((range?.min ?? 0) - low).toBeLessThanOrEqual(inwards + 0.0006)
      expect(high - (range?.max ?? 0)).toBeGreaterThanOrEqual(-0.0008)
      expect(high - (range?.max ?? 0)).toBeLessThanOrEqual(inwards + 0.0008)
    }
  })

  // Computed: a healthy 1.5 mm² core has at least 11.49 ohm/km at 20 °C, and 10.1 ohm/km at −10 °C.
  it('the lower end leaves room for the least that healthy copper can have at −10 °C', () => {
    const facts = { ...OVERSPEED_PAIR, 'cable length': '100', 'conductor size': '1.5' }
    const check = checkNamed('one-loop-dead', 'arming-loop-resistance')
    const { range } = expectedAt(equipmentNamed(kit), facts, walk(pack, 'one-loop-dead', []), check)
    const least = 0.2 * 11.49 * (224.5 / 254.5)
    expect(range?.min ?? Number.NaN).toBeLessThanOrEqual(least)
    expect(range?.min ?? Number.NaN).toBeGreaterThan(0.95 * least)
  })

  // Computed from secondary values: a short nearer than the loop reads below the floor of the copper.
  it('a reading below the copper leads to a short', () => {
    const place = comesTo('one-loop-dead', [
      ['which-channel-is-dead', 'arming'],
      ['arming-output-with-the-cable-off', '1.07'],
      ['arming-loop-resistance', '0.4'],
      ['arming-cores-without-the-loop', '0.4'],
    ])
    expect(place).toBe(`${kit}/cable-cores-shorted`)
  })
})

describe('supply, insulation and contacts', () => {
  // Computed: 110 V ± 10 % is 99 to 121 V. The tolerance itself is a demo value.
  it('the supply is held against 110 V ± 10 %, and says that this is a demo value', () => {
    for (const name of ['supply voltage', 'busbar voltage']) {
      const range = limitAt(kit, name)
      expect([range.min, range.max, range.demo]).toEqual([99, 121, true])
    }
  })

  // BS 7671:2018 Table 64 (secondary): up to 500 V, test at 500 V DC, at least 1 Mohm.
  it('insulation is tested at 500 V DC and held against 1 Mohm', () => {
    expect(limitAt(kit, 'insulation').min).toBe(1e6)
    expect(limitAt('case-supply', 'feeder insulation').min).toBe(1e6)
    expect(limitAt('failure-indication', 'line insulation').min).toBe(1e6)
    for (const [tree, slug] of [
      ['intermittent-in-the-wet', 'arming-insulation'],
      ['fuse-blows-again', 'insulation-of-the-supply-wires'],
      ['case-supply-dead', 'insulation-of-the-feeder'],
      ['indication-wrong', 'insulation-of-the-line'],
    ] as const)
      expect(checkNamed(tree, slug).needs.join(' '), slug).toContain('500 V test voltage')
  })

  // Secondary: connected electronics are disconnected before an insulation test.
  it('no insulation tester is used without the warning to disconnect first', () => {
    const tests = [...pack.trees.values()]
      .flatMap(tree => [...tree.checks.values()])
      .filter(check => check.needs.some(need => need.includes('insulation tester')))
    expect(tests.length).toBeGreaterThanOrEqual(10)
    for (const check of tests) expect(check.cautions.join(' '), check.title).toMatch(/disconnected/)
  })

  // A marine cable manual (secondary): with screens lifted, more than 10 Mohm to earth.
  it('a lifted screen is held against 10 Mohm', () => {
    expect(limitAt(kit, 'screen isolation').min).toBe(10e6)
  })

  // IEC 60512-2-1:2002 test 2a (source, excerpt) and ASTM B539-02 (secondary): at most 20 mV, do not move the contact.
  it('a dry contact is measured with four wires and at most 20 mV, and is not moved', () => {
    for (const [tree, slug] of [
      ['output-dead-drive-present', 'resistance-of-the-suppression-contact'],
      ['failure-indicated-all-well', 'resistance-of-the-proving-contact'],
    ] as const) {
      const check = checkNamed(tree, slug)
      expect(check.needs.join(' ')).toBe('four-wire ohmmeter, test voltage at most 20 mV')
      expect(check.cautions.join(' ')).toMatch(/punctures a film/)
    }
    expect(
      checkNamed('output-dead-drive-present', 'resistance-of-the-suppression-contact').instruction,
    ).toMatch(/Keep the module still/)
  })

  // No public source for these limits was found: each must say that it is a demo value, or be blank.
  it('every limit of the equipment is blank or says that it is a demo value', () => {
    for (const equipment of pack.equipment.values()) {
      for (const limit of equipment.limits)
        expect(limit.demo || limit.expectation === null, `${equipment.slug}: ${limit.name}`).toBe(true)
    }
  })
})
