import { z } from 'zod'
import { temperatureProblem } from '../../../measurement/readings/air-temperature.ts'
import { readNumber } from '../../../measurement/readings/typed.ts'

/** A number of °C that a person may give, with its unit or without; an empty field is null. */
export function temperature() {
  return z
    .string()
    .optional()
    .transform((text, problems) => {
      const said = (text ?? '').trim()
      if (said === '') return null
      const read = readNumber(said)
      const celsius = read.kind === 'number' && /^(°?\s*C)?$/i.test(read.rest.trim()) ? read.value : null
      const message = celsius === null ? 'Give one number of °C, such as −3.' : outside(celsius)
      if (message === null) return celsius
      problems.addIssue({ code: 'custom', message })
      return z.NEVER
    })
}

function outside(celsius: number): string | null {
  const problem = temperatureProblem(celsius)
  return problem === null ? null : `${problem}: look at it again.`
}
