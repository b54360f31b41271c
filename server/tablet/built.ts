import type { Migration } from '../storage/engine/migrate.ts'
import type { AssetAddresses } from '../web/host/draw-page.ts'

/** What a worker is told of the program when it is built. */
export interface Built {
  migrations: Migration[]
  assets: AssetAddresses
  /** Where SQLite lies. */
  sqlite: string
  /** Those of every answer of the depot. */
  headers: Record<string, string>
}
