// A workbook damaged at many places and read each time: at some in the tests, at every byte in the bench.

import { readTable } from '../../server/exchange/read-table.ts'
import { Refused } from '../../server/exchange/table.ts'
import { workbook } from './workbook.ts'

/** With a byte turned over, and cut off, at every `step`th byte; gives what was thrown that is no refusal. */
export async function readDamaged(step: number): Promise<{ files: number; wrong: string[] }> {
  const good = workbook([['a'], [1]])
  const wrong: string[] = []
  let files = 0
  for (let at = 3; at < good.length; at += step) {
    const spoilt = Buffer.from(good)
    spoilt[at] = (spoilt[at] ?? 0) ^ 0xff
    for (const file of [spoilt, good.subarray(0, at)]) {
      files += 1
      const thrown: unknown = await readTable(file).then(
        () => null,
        error => error,
      )
      if (thrown !== null && !(thrown instanceof Refused)) wrong.push(`at ${at}: ${thrown}`)
    }
  }
  return { files, wrong }
}
