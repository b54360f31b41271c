import { describe, expect, it } from 'vitest'
import { drawSpoilt } from './spoilt.ts'

// Whatever is typed, the page beside it is drawn: no crash, nothing that a browser would run. How long it takes is a
// figure of the bench, which spoils thousands.

describe('a spoilt file', () => {
  it('is drawn, compared and helped with, or left out, and harms nothing', () => {
    const { pictures, wrong } = drawSpoilt(150, 20_261_125)
    expect(wrong).toEqual([])
    expect(pictures).toBeGreaterThan(75)
  })
})
