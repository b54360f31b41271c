import { expect, it } from 'vitest'
import { killServers } from './kill-server.ts'

it('keeps every finding it answered for when the program is killed while tablets record', async () => {
  const { acknowledged, damage } = await killServers(2)
  expect(damage).toEqual([])
  expect(acknowledged).toBeGreaterThanOrEqual(2 * 5)
})
