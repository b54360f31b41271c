// What the model of the equipment does when nothing is wrong, and the laws it must keep when something is.

import { describe, expect, it } from 'vitest'
import { coreOhmPerMetre } from '../../server/circuit/copper.ts'
import { type Instrument, type MeterFunction, reading, toneOver } from '../../server/circuit/meters.ts'
import { operate } from '../../server/circuit/operate.ts'
import { asFound, healthyWorld, OPEN, type State, someSite, type World } from '../../server/circuit/world.ts'

const exact = (name: MeterFunction): Instrument => ({
  ...{ function: name, percent: 0, counts: 0, resolution: 1e-6, range: 1e15 },
})

function at(world: World, name: MeterFunction, a: string, b: string, state: State = asFound): number {
  const shown = reading(world, [a, b], exact(name), state, 0)
  return shown.kind === 'value' ? shown.value : Number.NaN
}

const lifted = (...terminals: string[]): State => ({ ...asFound, lifted: new Set(terminals) })

describe('copper', () => {
  // 1/58 ohm mm²/m and 0.00393 for each degree: the copper standard. IEC 60228 has 7.41 ohm/km at most for 2.5 mm².
  it('is that of the copper standard, and below what a cable may have at most', () => {
    expect(1000 * coreOhmPerMetre(1, 20)).toBeCloseTo(17.241, 3)
    expect(1000 * coreOhmPerMetre(2.5, 20)).toBeLessThan(7.41)
    expect(coreOhmPerMetre(1, 30) / coreOhmPerMetre(1, 20)).toBeCloseTo(1.0393, 4)
  })

  // Skin effect of a round core at 65.25 kHz, computed by Bessel functions: 2.5 mm² has 2.00 times its DC resistance.
  it('has twice the resistance at the tones in a core of 2.5 mm², within a tenth', () => {
    const ratio = coreOhmPerMetre(2.5, 20, 65_250) / coreOhmPerMetre(2.5, 20)
    expect(Math.abs(ratio / 2 - 1)).toBeLessThan(0.1)
  })
})

describe('a set in order', () => {
  it.each([20, 120, 450])(
    'gives 1.1 A into each loop over %d m, lights its telltales and proves',
    cableLength => {
      const { outputs, telltales, indication, redLamp } = operate(
        healthyWorld({ ...someSite, cableLength }),
        asFound,
      )
      expect(outputs.arming).toBeCloseTo(1.1, 2)
      expect(outputs.trigger).toBeCloseTo(1.1, 2)
      expect(telltales).toEqual({ supply: true, drive: true, output: true })
      expect({ indication, redLamp }).toEqual({ indication: 'healthy', redLamp: true })
    },
  )

  it('is quiet while nothing calls for it, and says which tone is over which loop when something does', () => {
    const world = healthyWorld()
    expect(operate(world, { ...asFound, due: false }).running).toBe(false)
    expect(toneOver(world, 'arming', asFound)).toBe(64_250)
    expect(toneOver(world, 'trigger', asFound)).toBe(65_250)
  })

  it('has its copper in series at the case, and hardly a leak', () => {
    const world = healthyWorld()
    const { cableLength, conductorSize, celsius } = world.site
    const copper = 2 * cableLength * coreOhmPerMetre(conductorSize, celsius)
    const loose = lifted('A1', 'A2')
    expect(Math.abs(at(world, 'ohms', 'A1', 'A2', loose) - copper - 0.14)).toBeLessThan(0.01)
    expect(at(world, 'insulation', 'A1', 'E1', loose)).toBeGreaterThan(1e8)
  })
})

describe('laws of any set', () => {
  /** Round each circuit the drops add up to what is given. */
  it.each([
    ['volts AC', ['B1', 'F1', 'S1', 'S2', 'N1']],
    ['volts DC', ['J1', 'J2', 'D1', 'D2', 'J0']],
    ['volts DC', ['Q1', 'Q2', 'PR1', 'PR2', 'PR0']],
  ] as const)('adds up %s along %s (Kirchhoff)', (name, way) => {
    const world = healthyWorld()
    world.supply.feedWire = 40
    world.joints.driveWire = 300
    world.joints.provingContact = 500
    const drops = way.slice(1).map((node, k) => at(world, name, way[k] ?? '', node))
    const whole = at(world, name, way[0] ?? '', way.at(-1) ?? '')
    expect(drops.reduce((sum, drop) => sum + drop, 0)).toBeCloseTo(whole, 2)
  })

  it('loses a voltmeter’s reading across a break, where the whole of it stands', () => {
    const world = healthyWorld()
    world.supply.fuse = OPEN
    expect(at(world, 'volts AC', 'S1', 'S2')).toBeLessThan(2)
    expect(at(world, 'volts AC', 'B1', 'F1')).toBeGreaterThan(100)
    expect(operate(world, asFound).telltales.supply).toBe(false)
  })

  it('reads less copper the nearer a short, and the pair weak for each', () => {
    const ohms = [0.2, 0.5, 0.9].map(place => {
      const world = healthyWorld()
      world.lines.arming.bridged = { at: place, ohm: 0.02 }
      expect(operate(world, asFound).outputs.arming).toBeLessThan(0.9)
      expect(operate(world, asFound).indication).toBe('failed')
      return at(world, 'ohms', 'A1', 'A2', lifted('A1', 'A2'))
    })
    expect([...ohms].sort((a, b) => a - b)).toEqual(ohms)
  })

  it('sees a loop shorted at the link box in its output and not by an ohmmeter at the case', () => {
    const world = healthyWorld({ ...someSite, cableLength: 450 })
    const sound = at(world, 'ohms', 'A1', 'A2', lifted('A1', 'A2'))
    const shorted = healthyWorld({ ...someSite, cableLength: 450 })
    shorted.lines.arming.loopLeft = 0.05
    expect(at(shorted, 'ohms', 'A1', 'A2', lifted('A1', 'A2')) / sound).toBeGreaterThan(0.95)
    expect(operate(shorted, asFound).outputs.arming).toBeLessThan(0.9)
    expect(
      operate(shorted, { ...lifted('LA1', 'LA2'), testLoop: new Set(['arming']) }).outputs.arming,
    ).toBeCloseTo(1.1, 2)
  })

  it('takes no ohms on a circuit that is live, and goes over its range where nothing conducts', () => {
    const world = healthyWorld()
    expect(reading(world, ['S1', 'S2'], exact('ohms'), asFound, 0)).toEqual({ kind: 'live' })
    world.lines.arming.loopOhm = OPEN
    const meter = { ...exact('ohms'), range: 5e7 }
    expect(reading(world, ['A1', 'A2'], meter, lifted('A1', 'A2'), 0)).toEqual({ kind: 'over' })
  })

  it('is off by no more than its instrument, and says so in its steps', () => {
    const world = healthyWorld()
    const meter: Instrument = { function: 'volts AC', percent: 1, counts: 3, resolution: 0.1, range: 750 }
    const truth = at(world, 'volts AC', 'S1', 'S2')
    for (const error of [-1, -0.3, 0, 1]) {
      const shown = reading(world, ['S1', 'S2'], meter, asFound, error)
      const value = shown.kind === 'value' ? shown.value : Number.NaN
      expect(Math.abs(value - truth)).toBeLessThanOrEqual(truth / 100 + 0.3 + 0.05)
      expect(value * 10).toBeCloseTo(Math.round(value * 10), 6)
    }
  })

  it('leaves the world and the state as they were', () => {
    const world = healthyWorld()
    const before = structuredClone(world)
    at(world, 'volts DC', 'P1', 'P2')
    at(world, 'insulation', 'A1', 'E1', lifted('A1', 'A2'))
    expect(world).toEqual(before)
  })
})
