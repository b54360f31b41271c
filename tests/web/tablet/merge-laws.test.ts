import { expect, it } from 'vitest'
import { randomFrom, triedOrders } from '../../support/merge-laws.ts'

it('whatever the order in which two tablets’ acts and the depot’s arrive, the record is the same, each act in it once', async () => {
  const { tried, broken } = await triedOrders(60, randomFrom(17))
  expect(broken).toEqual([])
  expect(tried).toBe(60)
})
