import { expect, it } from 'vitest'
import { jobs, killJobs } from './kill-jobs.ts'

it('leaves nothing by halves when the process is killed in a publication, an import, a backup, a restore, a migration', async () => {
  const { kills, acknowledged, damage } = await killJobs(1)
  expect(damage).toEqual([])
  expect(kills).toBe(jobs.length)
  expect(acknowledged).toBeGreaterThanOrEqual(2 * jobs.length)
}, 120_000)
