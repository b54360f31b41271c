// Published answers for lines, their crossing of a level, and trend without a model.
import { describe, expect, it } from 'vitest'
import { fitCurve } from '../../server/history/readings/curve.ts'
import { crossing, fitLine, type Line } from '../../server/history/readings/line.ts'
import { mannKendall } from '../../server/history/readings/mann-kendall.ts'
import { theilSen } from '../../server/history/readings/theil-sen.ts'
import { studentQuantile } from '../../server/statistics/student.ts'
import { epaChloride, epaSulfate, gumThermometer, norris, pontius } from './history-lines.ts'

function near(ours: number | undefined, published: number, relative: number) {
  expect(ours).toBeDefined()
  expect(Math.abs((ours ?? 0) - published)).toBeLessThanOrEqual(relative * Math.abs(published))
}

function lineOf(x: readonly number[], y: readonly number[]): Line {
  const line = fitLine(x, y)
  if (line === null) throw new Error('no line')
  return line
}

// NIST Statistical Reference Datasets, certified values, read in source.
describe('certified regressions', () => {
  it('Norris', () => {
    const line = lineOf(norris.x, norris.y)
    near(line.intercept, -0.262323073774029, 1e-11)
    near(line.interceptError, 0.232818234301152, 1e-11)
    near(line.slope, 1.00211681802045, 1e-13)
    near(line.slopeError, 0.429796848199937e-3, 1e-11)
    near(line.residual, 0.884796396144373, 1e-11)
    near(line.r2, 0.999993745883712, 1e-14)
    near(line.explained, 4255954.13232369, 1e-13)
    near(line.leftOver, 26.6173985294224, 1e-11)
    near(line.explained / line.residual ** 2, 5436385.54079785, 1e-11)
  })

  it('Pontius', () => {
    const curve = fitCurve(pontius.x, pontius.y)
    near(curve?.b[0], 0.673565789473684e-3, 1e-10)
    near(curve?.b[1], 0.732059160401003e-6, 1e-13)
    near(curve?.b[2], -0.316081871345029e-14, 1e-10)
    near(curve?.errors[0], 0.107938612033077e-3, 1e-10)
    near(curve?.errors[1], 0.157817399981659e-9, 1e-10)
    near(curve?.errors[2], 0.486652849992036e-16, 1e-10)
    near(curve?.residual, 0.205177424076185e-3, 1e-10)
    near(curve?.r2, 0.999999900178537, 1e-14)
    near(curve?.leftOver, 0.155761768796992e-5, 1e-10)
    near((curve?.explained ?? 0) / 2 / (curve?.residual ?? 1) ** 2, 185330865.995752, 1e-10)
  })
})

// JCGM 100:2008, example H.3, read in source.
it('GUM H.3, thermometer', () => {
  const line = lineOf(
    gumThermometer.t.map(t => t - 20),
    gumThermometer.b,
  )
  expect(line.intercept).toBeCloseTo(-0.1712, 4)
  expect(line.interceptError).toBeCloseTo(0.0029, 4)
  expect(line.slope).toBeCloseTo(0.00218, 5)
  expect(line.slopeError).toBeCloseTo(0.00067, 5)
  expect(line.correlation).toBeCloseTo(-0.93, 3)
  expect(line.residual).toBeCloseTo(0.0035, 4)
  expect(line.intercept + 10 * line.slope).toBeCloseTo(-0.1494, 4)
})

describe('where a line reaches a level', () => {
  const tens = Array.from({ length: 11 }, (_, i) => 10 * i)
  const thermostat = lineOf(
    [96, 98, 100, 102, 104, 106, 108, 110],
    [95.71, 98.16, 99.52, 102.09, 103.79, 106.18, 108.14, 110.21],
  )
  const chamber = lineOf(
    tens,
    [206.36, 225.52, 252.18, 289.33, 318.11, 349.49, 383.03, 410.7, 444.4, 469.14, 501.16],
  )
  const massart = lineOf(tens.slice(0, 6), [4, 21.2, 44.6, 61.8, 78, 105.2])

  // Read in source: documentation of an inverse-prediction package.
  it('thermostat, one reading', () => {
    const at104 = crossing(thermostat, 104, 0.95, 1)
    expect(at104?.at).toBeCloseTo(103.995, 3)
    expect(at104?.low).toBeCloseTo(103.40405114, 7)
    expect(at104?.high).toBeCloseTo(104.58945938, 7)
    const at100 = crossing(thermostat, 100, 0.9, 1)
    expect(at100?.at).toBeCloseTo(100.112318, 6)
    expect(at100?.low).toBeCloseTo(99.63, 2)
    expect(at100?.high).toBeCloseTo(100.59, 2)
  })

  it('chamber, the line itself', () => {
    const at400 = crossing(chamber, 400, 0.99)
    expect(at400?.at).toBeCloseTo(66.52004321, 7)
    expect(at400?.low).toBeCloseTo(65.07, 2)
    expect(at400?.high).toBeCloseTo(68.03, 2)
  })

  // Massart et al. 1997, Handbook of Chemometrics, p. 175, read in a package's documentation.
  it('calibration line, simple errors', () => {
    const t = studentQuantile(0.975, 4)
    const at15 = crossing(massart, 15, 0.95, 1)
    expect(at15?.at).toBeCloseTo(6.09381, 5)
    expect(at15?.simpleError).toBeCloseTo(1.767278, 6)
    expect(t * (at15?.simpleError ?? 0)).toBeCloseTo(4.906751, 6)
    const at90 = crossing(massart, 90, 0.95, 1)
    expect(at90?.at).toBeCloseTo(43.93983, 5)
    expect(at90?.simpleError).toBeCloseTo(1.767747, 6)
    const five = crossing(massart, 90, 0.95, 5)
    expect(five?.simpleError).toBeCloseTo(1.141204, 6)
    expect(t * (five?.simpleError ?? 0)).toBeCloseTo(3.168489, 6)
  })

  // The data set of DIN 32645, read in a package's documentation.
  it('calibration line of ten', () => {
    const x = Array.from({ length: 10 }, (_, i) => 0.05 * (i + 1))
    const line = lineOf(x, [3060, 3522, 3707, 4280, 5058, 5510, 5703, 6205, 7156, 7178])
    const at3500 = crossing(line, 3500, 0.99, 1)
    expect(at3500?.at).toBeCloseTo(0.10547917, 7)
    expect(studentQuantile(0.995, 8) * (at3500?.simpleError ?? 0)).toBeCloseTo(0.07434261241, 9)
  })
})

// US EPA 2009, Unified Guidance, examples 17-6 (p. 17-33, read in source) and 17-5 (computed from its data).
describe('groundwater series', () => {
  it('sulfate rises: Mann–Kendall and Theil–Sen', () => {
    const trend = mannKendall(epaSulfate.y)
    expect(trend).toMatchObject({ n: 23, s: 194, variance: 1428, method: 'normal curve' })
    expect(trend?.z).toBeCloseTo(5.107322, 6)
    near(trend?.chance, 3.267574e-7, 1e-6)
    expect(trend?.tau).toBeCloseTo(0.7667984, 7)
    const slope = theilSen(epaSulfate.x, epaSulfate.y)
    expect(slope?.pairs).toBe(253)
    expect(slope?.slope).toBeCloseTo(26.6666667, 6)
    expect(slope?.intercept).toBeCloseTo(-1909.3333333, 6)
    expect(slope?.low).toBeCloseTo(20, 5)
    expect(slope?.high).toBeCloseTo(35.71182, 5)
  })

  it('chloride rises: least squares', () => {
    const line = lineOf(epaChloride.x, epaChloride.y)
    near(line.slope, 0.00309575263669, 1e-10)
    near(line.slopeError, 0.0003345330391, 1e-9)
    near(line.intercept, 11.516031701, 1e-9)
    near(line.interceptError, 0.3590020839, 1e-9)
    near(line.residual, 0.7501851866, 1e-9)
    near(line.r2, 0.834365504, 1e-9)
    near(line.chance, 4.7643031e-8, 1e-7)
    const residuals = epaChloride.y.map((y, i) => y - line.intercept - line.slope * (epaChloride.x[i] ?? 0))
    expect(residuals[0]).toBeCloseTo(-0.25130894, 7)
    expect(residuals[1]).toBeCloseTo(0.6722332, 7)
  })
})
