import { nothingStated, type StatedNeeds } from '../../measurement/instruments/suitability.ts'
import { keyOf, type Section } from '../read/document.ts'
import { readFrequency, readMethod, readTestVoltage, readYes } from '../read/values.ts'
import type { CheckMethod } from '../types.ts'

/** What a check's keys `Method`, `Test voltage`, `Frequency` and `Electronics connected` say. */
export function instrumentOf(section: Section): { instrument: StatedNeeds; insulationTest: boolean } {
  const value = (key: string) => keyOf(section, key)?.value ?? ''
  const method = readMethod(value('Method'))
  const volts = readTestVoltage(value('Test voltage'))
  return {
    instrument: {
      ...nothingStated,
      method: method && wires(method),
      testVoltage: volts?.exactly ?? null,
      mostTestVoltage: volts?.atMost ?? null,
      frequency: readFrequency(value('Frequency')),
      electronicsConnected: readYes(value('Electronics connected')) ?? false,
    },
    insulationTest: method === 'insulation test',
  }
}

/** An insulation tester has a test voltage, and two wires do. */
function wires(method: CheckMethod): StatedNeeds['method'] {
  switch (method) {
    case 'four-wire':
      return '4-wire'
    case 'volt drop':
      return 'volt drop under load'
    case 'insulation test':
      return null
  }
}
