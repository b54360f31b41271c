import { sql } from '../engine/sql.ts'
import type { Writer } from '../engine/writer.ts'

export interface ToneInUse {
  /** Name of the fact, "arming tone". */
  fact: string
  value: string
  direction: string
}

export interface TonesInUse {
  /** Each fact of these names at any position of the equipment, once for each value and direction. */
  list(equipment: string, facts: string[], directionFact: string): ToneInUse[]
}

const list = sql<object, ToneInUse>(`
  SELECT DISTINCT t.fact, t.value, d.value AS direction
  FROM positions p
  JOIN position_facts t ON t.position_id = p.id
  JOIN position_facts d ON d.position_id = p.id AND d.fact = @directionFact
  WHERE p.equipment = @equipment AND t.fact IN (SELECT value FROM json_each(@facts))
  ORDER BY t.fact, d.value, t.value`)

export function createTonesInUse({ db }: Writer): TonesInUse {
  return {
    list: (equipment, facts, directionFact) =>
      list(db).all({ equipment, facts: JSON.stringify(facts), directionFact }),
  }
}
