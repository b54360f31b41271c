import { describe, expect, it } from 'vitest'
import { plantedTruths } from '../../../server/demo/story/truths.ts'
import { driftsIn } from '../../../server/review/drift/drifts.ts'
import { offendersOf } from '../../../server/review/offenders.ts'
import { readPast } from '../../../server/review/past.ts'
import { trendsIn } from '../../../server/review/trends.ts'
import { unitsIn } from '../../../server/review/units.ts'
import type { Storage } from '../../../server/storage/storage.ts'
import { copyOfDemo } from '../../demo/copy.ts'
import { NOW } from '../../demo/make.ts'

// The review's own figures over the demo railway. Invented data, for the demo only.

const asAtMs = NOW.getTime()

function found(storage: Storage) {
  const window = { fromMs: asAtMs - 730 * 86_400_000, toMs: asAtMs }
  const past = readPast(storage.history, window, asAtMs)
  const whole = readPast(storage.history, { ...window, fromMs: 0 }, asAtMs)
  const units = unitsIn(storage.history, asAtMs, id => id)
  return {
    past,
    offenders: offendersOf(past).out.map(one => one.position.id),
    everOffenders: offendersOf(whole).out.map(one => one.position.id),
    drifting: driftsIn(storage.history, asAtMs).found.map(one => one.series.positionId),
    carrying: units.carrying.map(one => one.name.split(' ').at(-1) ?? ''),
    trends: trendsIn(past),
  }
}

describe.each([1, 5])('the planted truths of railway %d', seed => {
  const truths = plantedTruths(seed)
  const got = copyOfDemo(seed).then(({ storage }) => found(storage))

  it('finds the five positions that keep failing, and the one that failed in the wet', async () => {
    const { offenders, everOffenders } = await got
    expect(offenders.toSorted()).toEqual([...truths.failing, truths.wet].toSorted())
    // Over all three years the wet season no longer stands out, and the five still do.
    expect(everOffenders.toSorted()).toEqual(truths.failing.toSorted())
  })

  it('finds the contacts that creep up, and no reading anywhere else', async () => {
    const { drifting } = await got
    expect(new Set(drifting)).toEqual(new Set(truths.drifting))
  })

  it('finds the two units that carry their fault, and no other', async () => {
    const { carrying } = await got
    expect(carrying.toSorted()).toEqual([...truths.rogueSerials].toSorted())
  })

  it('says no trend where none was planted', async () => {
    const { trends } = await got
    expect(trends.positions).toEqual([])
    expect(trends.kinds.map(kind => kind.trend.value)).not.toContain('better')
  })

  it('counts from when the record begins, as nobody wrote faults down before', async () => {
    const { past } = await got
    expect(past.basis.n).toBeGreaterThan(150)
    expect(past.window.fromMs).toBeGreaterThanOrEqual(asAtMs - 730 * 86_400_000 - 1000)
  })
})
