import { build } from 'esbuild'
import { expect, it } from 'vitest'

/** What a service worker is to share with the server, bundled for a browser; gives the files that go in. */
async function filesInBundle(...entryPoints: string[]): Promise<string[]> {
  const { metafile } = await build({
    entryPoints,
    bundle: true,
    platform: 'browser',
    conditions: ['worker'],
    format: 'esm',
    outdir: 'unused',
    write: false,
    metafile: true,
    logLevel: 'silent',
  })
  return Object.keys(metafile.inputs)
}

const shared = [
  'server/storage/storage.ts',
  'server/storage/engine/migrate.ts',
  'server/storage/engine/acting.ts',
  'server/auth/sessions.ts',
  'server/auth/secrets.ts',
]

/** Reached from the server alone: they open files, or load what only Node has. */
const serverOnly =
  /^server\/(platform\/node|storage\/engine\/(database|migration-files)|storage\/safekeeping\/.*|auth\/(scrypt|common-passwords|setup-code)|exchange\/read-.*|knowledge\/load|web\/host\/(middleware\/.*|express|node-host|view-engine|compile-views|view-source))\.ts$/

it('storage and sessions bundle for a service worker, without Node, its files or better-sqlite3', async () => {
  const files = await filesInBundle(...shared)
  expect(files).toEqual(expect.arrayContaining([...shared, 'server/platform/worker.ts']))
  expect(files.filter(file => serverOnly.test(file) || file.includes('better-sqlite3'))).toEqual([])
})

it('every handler, and what prints its views, bundles for a service worker, without what only the server is for', async () => {
  const answering = [
    'server/web/routes.ts',
    'server/web/host/answering.ts',
    'server/web/host/draw-page.ts',
    'server/web/host/print-views.ts',
  ]
  const files = await filesInBundle(...answering)
  expect(files).toEqual(expect.arrayContaining([...answering, 'server/platform/worker.ts']))
  expect(files).toContain('server/web/technician/check/findings.ts')
  const packages = /node_modules\/(express|better-sqlite3|ejs|pino|busboy|read-excel-file|esbuild)\//
  expect(files.filter(file => serverOnly.test(file) || packages.test(file))).toEqual([])
})

it.each([
  'server/platform/node.ts',
  'server/storage/engine/database.ts',
  'server/storage/engine/migration-files.ts',
  'server/storage/safekeeping/photo-files.ts',
  'server/web/host/express.ts',
  'server/web/host/node-host.ts',
  'server/web/host/view-engine.ts',
  'server/auth/scrypt.ts',
])('%s does not: the test above would tell', async file => {
  await expect(filesInBundle(file)).rejects.toThrow(/Could not resolve/)
})
