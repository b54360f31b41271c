import { execFileSync } from 'node:child_process'
import path from 'node:path'
import { beforeAll, describe, expect, it } from 'vitest'
import { beyond, type Followed, roomsOf } from './follow-a-reading.ts'

// How many files there are to read along the way of one reading; whoever adds one here takes another out, or says why.

describe('the way of a recorded reading', () => {
  let followed: Followed

  beforeAll(() => {
    // In a process of its own: here each file is wrapped in a function that would count as one of its own.
    const script = path.join(import.meta.dirname, 'follow-a-reading.ts')
    followed = JSON.parse(execFileSync(process.execPath, [script, '--json'], { encoding: 'utf8' }))
  }, 60_000)

  it('runs through what a reading is about, anonymous functions counted', () => {
    for (const file of [
      'measurement/verdicts/verdict.ts',
      'walk/place.ts',
      'storage/faults/findings.ts',
      'web/technician/check/findings.ts',
      // A middleware is a function without a name.
      'web/host/middleware/read-forms.ts',
    ])
      expect(followed.reading).toContain(file)
    expect(followed.reading).not.toContain('web/technician/prove/proofs.ts')
    expect(followed.anyForm).not.toContain('walk/place.ts')
    expect(followed.formAtFault).toContain('walk/place.ts')
  })

  it('takes no more files than it did', () => {
    expect(followed.reading.length).toBeLessThanOrEqual(71)
    expect(beyond(followed.reading, followed.anyForm).length).toBeLessThanOrEqual(27)
    expect(beyond(followed.reading, followed.formAtFault).length).toBeLessThanOrEqual(22)
  })

  it('stays in five rooms beyond what any form runs', () => {
    expect(roomsOf(beyond(followed.reading, followed.anyForm))).toEqual([
      'knowledge',
      'measurement',
      'storage',
      'walk',
      'web',
    ])
  })
})
