// Published answers for failures that nobody sees between visits.
import { describe, expect, it } from 'vitest'
import { deadShare, deadShareApproximate } from '../../server/history/positions/dead-time.ts'

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
