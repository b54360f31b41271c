import { expect, it } from 'vitest'
import { tryHostile } from './try-all.ts'

it('no hostile input ends the program, holds it up for a second or leaves a fault of ours', async () => {
  const { tried, bad } = await tryHostile(150)
  expect(bad).toEqual([])
  expect(tried).toBeGreaterThanOrEqual(150)
})
