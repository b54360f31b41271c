import { expect, it } from 'vitest'
import { openDatabase } from '../../../server/storage/engine/database.ts'
import { migrate } from '../../../server/storage/engine/migrate.ts'
import { readMigrations } from '../../../server/storage/engine/migration-files.ts'

const AT = '2026-03-02T08:00:00.000Z'

it('keeps every withdrawal as it was, when their table is made anew', () => {
  const migrations = readMigrations('migrations')
  const anew = migrations.findIndex(({ name }) => name.endsWith('withdrawals-without-hidden-key'))
  const db = openDatabase(':memory:')
  migrate(db, migrations.slice(0, anew), AT)
  db.exec(`
    INSERT INTO people (id, name, role, pin_hash, created_at) VALUES ('eve', 'Eve Marsh', 'engineer', 'x', '${AT}');
    INSERT INTO tree_withdrawals (id, tree, at, by, words, lifted_at, lifted_by) VALUES
      ('first', 'dead', '${AT}', 'eve', 'a step is wrong', '${AT}', 'eve'),
      ('now', 'dead', '${AT}', 'eve', 'still wrong', NULL, NULL);`)
  const rows = () => db.prepare('SELECT * FROM tree_withdrawals ORDER BY id').all()
  const before = rows()
  expect(before).toHaveLength(2)
  migrate(db, migrations, AT)
  expect(rows()).toEqual(before)
  db.close()
})
