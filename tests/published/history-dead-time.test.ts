// Published answers for failures that nobody sees between visits.
import { describe, expect, it } from 'vitest'
import { deadShare, deadShareApproximate, failureOnDemand } from '../../server/history/positions/dead-time.ts'

// IEC 61508-6:2010 annex B, tables B.2 to B.4, 1oo1, two significant figures, repair 8 h; read in a reproduction.
// One row: interval in hours, coverage, then the chance at 5E-8, 2.5E-7, 5E-7, 2.5E-6, 5E-6 and 2.5E-5 failures an hour.
const rates = [5e-8, 2.5e-7, 5e-7, 2.5e-6, 5e-6, 2.5e-5]
const tables: [hours: number, coverage: number, cells: string][] = [
  [4380, 0, '1.1e-4 5.5e-4 1.1e-3 5.5e-3 1.1e-2 5.5e-2'],
  [4380, 0.6, '4.4e-5 2.2e-4 4.4e-4 2.2e-3 4.4e-3 2.2e-2'],
  [4380, 0.9, '1.1e-5 5.7e-5 1.1e-4 5.7e-4 1.1e-3 5.7e-3'],
  [4380, 0.99, '1.5e-6 7.5e-6 1.5e-5 7.5e-5 1.5e-4 7.5e-4'],
  [8760, 0, '2.2e-4 1.1e-3 2.2e-3 1.1e-2 2.2e-2 >1e-1'],
  [8760, 0.6, '8.8e-5 4.4e-4 8.8e-4 4.4e-3 8.8e-3 4.4e-2'],
  [8760, 0.9, '2.2e-5 1.1e-4 2.2e-4 1.1e-3 2.2e-3 1.1e-2'],
  [8760, 0.99, '2.6e-6 1.3e-5 2.6e-5 1.3e-4 2.6e-4 1.3e-3'],
  [17520, 0, '4.4e-4 2.2e-3 4.4e-3 2.2e-2 4.4e-2 >1e-1'],
  [17520, 0.6, '1.8e-4 8.8e-4 1.8e-3 8.8e-3 1.8e-2 8.8e-2'],
  [17520, 0.9, '4.4e-5 2.2e-4 4.4e-4 2.2e-3 4.4e-3 2.2e-2'],
  [17520, 0.99, '4.8e-6 2.4e-5 4.8e-5 2.4e-4 4.8e-4 2.4e-3'],
]

const cells = tables.flatMap(([hours, coverage, row]) =>
  row.split(' ').map((cell, i) => ({ hours, coverage, perHour: rates[i] ?? 0, cell })),
)

it.each(cells)(
  '$hours h, coverage $coverage, $perHour an hour: $cell',
  ({ hours, coverage, perHour, cell }) => {
    const chance = failureOnDemand({ perHour, coverage, intervalHours: hours, repairHours: 8 })
    if (cell.startsWith('>')) expect(chance).toBeGreaterThan(0.1)
    else expect(Number(chance.toPrecision(2))).toBe(Number(cell))
  },
)

it('covers all 72 cells', () => expect(cells).toHaveLength(72))

describe('mean share of the time dead (computed; at 1 it is 1/e)', () => {
  it.each([
    [0.001, 0.000499833375],
    [0.01, 0.004983374917],
    [0.1, 0.04837418036],
    [0.2, 0.09365376539],
    [0.5, 0.213061319425],
    [1, 1 / Math.E],
  ])('rate × interval %d', (x, share) => {
    expect(deadShare(x / 90, 90)).toBeCloseTo(share, 11)
    expect(deadShareApproximate(x / 90, 90)).toBeCloseTo(x / 2, 12)
  })
})
