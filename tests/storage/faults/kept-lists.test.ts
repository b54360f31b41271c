import { expect, it } from 'vitest'
import { demoOf } from '../../demo/make.ts'

/** What each kept table must hold, asked of all the faults there ever were. */
const kept = {
  open_faults: `SELECT id AS fault_id, position_id FROM faults
    WHERE id NOT IN (SELECT fault_id FROM closures) ORDER BY fault_id`,
  doubtful_faults: `SELECT fault_id FROM closures c WHERE (c.cleared_itself = 1 OR c.outcome = 'not reproduced')
    AND fault_id NOT IN (SELECT fault_id FROM imported_faults)
    AND fault_id NOT IN (SELECT fault_id FROM engineer_notes WHERE settled = 1) ORDER BY fault_id`,
  proved_repairs: `SELECT f.position_id, c.at, f.id AS fault_id FROM closures c JOIN faults f ON f.id = c.fault_id
    WHERE c.outcome = 'proven cause' ORDER BY fault_id`,
}

it.each(Object.entries(kept))('%s holds what the records say, on the whole demo', async (table, query) => {
  const { db } = await demoOf(1)
  const rows = db.prepare(`SELECT * FROM ${table} ORDER BY fault_id`)
  const held = rows.all()
  expect(held.length).toBeGreaterThan(0)
  expect(held).toEqual(db.prepare(query).all())
})
