import { expect, it } from 'vitest'
import { killWriters } from './kill.ts'

it('keeps every acknowledged write when the process is killed among its writes', async () => {
  const { acknowledged, damage } = await killWriters(3)
  expect(damage).toEqual([])
  expect(acknowledged).toBeGreaterThan(10)
})
