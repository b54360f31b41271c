// What a tablet could not send, saved there as a file and brought in by an engineer: each act as if the tablet had sent it.

import { z } from 'zod'
import { AppError } from '../../errors.ts'
import type { Deps } from '../deps.ts'
import { type Answer, formAgain, page } from '../host/answer.ts'
import type { Request } from '../host/request.ts'
import type { Table } from '../partials.ts'
import { type Arrival, takeAct } from './acts.ts'

const title = 'Bring in what a tablet could not send'
const view = 'tablet/rescue'

export const show = (_deps: Deps) => (_req: Request) => page(view, { title, desk: true, brought: null })

const saved = z.object({
  fourfoot: z.literal('not sent'),
  acts: z.array(z.record(z.string(), z.string())).max(5000),
})

const limits = {
  field: 'file',
  bytes: 4_000_000,
  tooLarge: 'This is no file that a tablet saved: it is too large.',
}

/** Takes each act of the file, in order; one that had arrived before is not taken twice. */
export const create =
  (deps: Deps) =>
  async (req: Request): Promise<Answer> => {
    const again = (error: string) =>
      formAgain(view, { title, desk: true, brought: null, values: {}, errors: { file: error } })
    const { file } = await req.upload(limits)
    if (!file) return again('Choose the file.')
    const acts = actsIn(file)
    if (!acts) return again('This is no file that a tablet saved.')
    const arrivals: Arrival[] = []
    for (const act of acts) {
      const arrival = await takeAct(deps, req, act).catch(refused)
      if (typeof arrival === 'string')
        return again(`${arrival} ${arrivals.length} entries before that were taken.`)
      arrivals.push(arrival)
    }
    return page(view, { title, desk: true, brought: tableOf(deps, arrivals) })
  }

function refused(error: unknown): string {
  if (error instanceof AppError && (error.code === 'invalid' || error.code === 'forbidden'))
    return error.message
  throw error
}

function actsIn(file: Uint8Array): Record<string, string>[] | null {
  try {
    return saved.parse(JSON.parse(new TextDecoder().decode(file))).acts
  } catch {
    return null
  }
}

function tableOf({ times }: Deps, arrivals: Arrival[]): Table {
  return {
    caption: 'Brought in',
    columns: [{ text: 'Done' }, { text: 'Where' }, { text: 'What became of it' }],
    rows: arrivals.map(({ doneAt, path, apart, repeated }) => ({
      cells: [
        { text: times.moment(doneAt) },
        { text: path },
        {
          text: apart === null ? (repeated ? 'Had arrived before.' : 'Recorded.') : `Stands apart: ${apart}`,
        },
      ],
    })),
    empty: 'There was nothing in the file.',
  }
}
