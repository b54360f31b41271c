// Which faults were walked where: ids only, for what looks at many records one by one.

import { inForce } from '../engine/in-force.ts'
import { sql } from '../engine/sql.ts'
import type { Writer } from '../engine/writer.ts'

export interface Walked {
  /** Faults with a finding, newest report first. */
  list(): string[]
  /** Those with a finding made in a tree. */
  listByTree(tree: string, limit: number): string[]
  /** Readings on record at a check, in findings and proofs. */
  countReadings(tree: string, check: string): number
  /** Symptoms reported so far, with how often. */
  symptoms(): { symptom: string; equipment: string; faults: number }[]
}

const all = sql<[], string>(`
  SELECT f.id FROM faults f WHERE EXISTS (SELECT 1 FROM findings n WHERE n.fault_id = f.id)
  ORDER BY f.reported_at DESC, f.id`)
const byTree = sql<object, string>(`
  SELECT f.id FROM faults f WHERE f.id IN (SELECT n.fault_id FROM findings n WHERE n.tree = @tree)
  ORDER BY f.reported_at DESC, f.id LIMIT @limit`)
const readings = sql<object, number>(`
  SELECT (SELECT count(*) FROM findings WHERE tree = @tree AND "check" = @check AND kind = 'reading')
    + (SELECT count(*) FROM proofs WHERE tree = @tree AND "check" = @check AND kind = 'reading')`)
const symptoms = sql<[], { symptom: string; equipment: string; faults: number }>(`
  SELECT f.symptom, p.equipment, count(*) AS faults FROM faults f JOIN positions p ON p.id = f.position_id
  WHERE ${inForce('faults', 'f.id')} GROUP BY f.symptom, p.equipment ORDER BY faults DESC`)

export function createWalked({ db }: Writer): Walked {
  return {
    list: () => all(db).pluck().all(),
    listByTree: (tree, limit) => byTree(db).pluck().all({ tree, limit }),
    countReadings: (tree, check) => readings(db).pluck().get({ tree, check }) ?? 0,
    symptoms: () => symptoms(db).all(),
  }
}
