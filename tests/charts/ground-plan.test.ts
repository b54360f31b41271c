import { describe, expect, it } from 'vitest'
import { groundPlan } from '../../server/charts/ground-plan.ts'

const ground = { cable: 120, spacing: 30, spacingRange: null, about: 'cable' } as const
const number = (svg: string, pattern: RegExp) => Number(pattern.exec(svg)?.[1])

describe('the ground to scale', () => {
  it('draws cable and spacing with one scale', () => {
    const svg = groundPlan(ground)
    const cable = number(svg, /ground-line[^"]*" d="M20 42H([\d.]+)/) - 20
    const [, first = '', second = ''] =
      /ground-loop"[^>]*? x="([\d.]+)".*?ground-loop"[^>]*? x="([\d.]+)"/.exec(svg) ?? []
    // Computed: 120 m is four times 30 m.
    expect(cable / (Number(second) - Number(first))).toBeCloseTo(4, 1)
    expect(svg).toContain('Cable from the case to the link box, 120 m.')
  })

  it('leaves out what is not known, and draws nothing where nothing is', () => {
    expect(groundPlan({ ...ground, spacing: null })).not.toContain('ground-loop')
    expect(groundPlan({ ...ground, cable: null, spacing: null })).toBe('')
    expect(groundPlan({ ...ground, cable: 0, spacing: 0 })).toBe('')
    expect(groundPlan({ ...ground, about: 'spacing', spacingRange: { min: 29, max: 31 } })).toContain(
      'range-band',
    )
  })
})
