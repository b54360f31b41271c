import path from 'node:path'
import sqlite3InitModule from '@sqlite.org/sqlite-wasm'
import { readMigrations } from '../../server/storage/engine/migration-files.ts'
import { openCarried } from '../../server/tablet/carried.ts'
import { createProgram, type Program } from '../../server/tablet/program.ts'
import { openInMemory } from '../../server/tablet/sqlite.ts'
import { assetAddresses } from '../../server/web/host/middleware/assets.ts'
import { createViews } from '../../server/web/host/view-engine.ts'
import type { Copy } from '../../server/web/tablet/copy.ts'
import { fromText } from '../../server/web/tablet/with-maps.ts'
import type { Site } from './site.ts'
import type { Visitor } from './visitor.ts'

const viewsDir = path.join(import.meta.dirname, '../../views')
const migrations = readMigrations(path.join(import.meta.dirname, '../../migrations'))
const sqlite3 = sqlite3InitModule()

export async function copyFor(visitor: Visitor): Promise<Copy> {
  const answer = await visitor.agent.get('/tablet/copy')
  return fromText(answer.text) as Copy
}

/** The tablet's own program over a copy taken now, in this process, with the depot's clock. */
export async function tabletOf({ deps }: Site, visitor: Visitor): Promise<Program> {
  const { tables, ...about } = await copyFor(visitor)
  const db = openInMemory(await sqlite3)
  openCarried(db, { migrations, tables, now: about.madeAt })
  return createProgram({
    db,
    about,
    clock: deps.clock,
    log: deps.log,
    views: createViews(viewsDir),
    assets: assetAddresses(viewsDir),
    headers: {},
  })
}
