// The service worker of a tablet, built when it is first asked for: most browsers never do.

import { createHash } from 'node:crypto'
import { readFileSync } from 'node:fs'
import path from 'node:path'
import { promisify } from 'node:util'
import { brotliCompress, constants } from 'node:zlib'
import { build, type Plugin } from 'esbuild'
import type { RequestHandler, Router } from 'express'
import express from 'express'
import type { Migration } from '../../../storage/engine/migrate.ts'
import { readMigrations } from '../../../storage/engine/migration-files.ts'
import type { Deps } from '../../deps.ts'
import { compileViews } from '../compile-views.ts'
import { assetAddresses } from './assets.ts'
import { packingFor } from './packing.ts'
import { headersOfAnswers } from './security-headers.ts'

const root = path.join(import.meta.dirname, '../../../..')
const sqliteFile = path.join(root, 'node_modules/@sqlite.org/sqlite-wasm/dist/sqlite3.wasm')

/** With a hash of its content, so that a browser may keep it for ever. */
function sqliteAddress(): string {
  return `/tablet/sqlite3.wasm?v=${createHash('sha256').update(readFileSync(sqliteFile)).digest('hex').slice(0, 12)}`
}

interface Packed {
  plain: Buffer
  br: Buffer
}

/** Built and packed once for all applications of a process. */
const workers = new Map<string, Promise<Packed>>()
let sqlite: Promise<Packed> | null = null

function workerOf(viewsDir: string, secure: boolean): Promise<Packed> {
  const key = `${viewsDir} ${secure}`
  const made = workers.get(key) ?? buildWorker(viewsDir, secure).then(text => pack(Buffer.from(text)))
  workers.set(key, made)
  return made
}

/** The worker at the root, so that every address is in its reach, and SQLite for it. */
export function tabletWorker({ viewsDir, config }: Pick<Deps, 'viewsDir' | 'config'>): Router {
  const router = express.Router()
  router.get('/tablet-worker.js', (req, res, next) => {
    // Asked for again each time: a new program takes the place of the old one at once.
    res.setHeader('Cache-Control', 'no-cache')
    res.setHeader('Content-Security-Policy', workersPolicy)
    res.type('text/javascript')
    workerOf(viewsDir, config.cookieSecure).then(sendPacked(req, res), next)
  })
  router.get('/tablet/sqlite3.wasm', (req, res, next) => {
    sqlite ??= pack(readFileSync(sqliteFile))
    res.setHeader('Cache-Control', 'public, max-age=31536000, immutable')
    res.type('application/wasm')
    sqlite.then(sendPacked(req, res), next)
  })
  return router
}

/** The worker alone may compile WebAssembly; it runs no text as code either. */
const workersPolicy = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; connect-src 'self'"

type Sending = Parameters<RequestHandler>

function sendPacked(req: Sending[0], res: Sending[1]) {
  return ({ plain, br }: Packed) => {
    const packed = packingFor(req) === 'br'
    res.setHeader('Vary', 'Accept-Encoding')
    if (packed) res.setHeader('Content-Encoding', 'br')
    res.send(packed ? br : plain)
  }
}

const compress = promisify(brotliCompress)

async function pack(plain: Buffer): Promise<Packed> {
  const params = { [constants.BROTLI_PARAM_QUALITY]: 11, [constants.BROTLI_PARAM_SIZE_HINT]: plain.length }
  return { plain, br: await compress(plain, { params }) }
}

/** The text of the worker. `secure`: the program is reached by https only; `migrations`: those of its database. */
export async function buildWorker(
  viewsDir: string,
  secure: boolean,
  migrations = readMigrations(path.join(root, 'migrations')),
): Promise<string> {
  const { outputFiles } = await build({
    entryPoints: [path.join(root, 'server/tablet/worker/main.ts')],
    bundle: true,
    minify: true,
    format: 'iife',
    platform: 'browser',
    conditions: ['worker'],
    target: 'es2022',
    define: { 'import.meta.url': 'self.location.href' },
    // Where comments by law must stand, they stand in the package's own files.
    legalComments: 'none',
    write: false,
    logLevel: 'silent',
    plugins: [builtModules(viewsDir, secure, migrations), englishOnly],
  })
  return outputFiles[0]?.text ?? ''
}

/** `built:views` and `built:facts`. */
function builtModules(viewsDir: string, secure: boolean, migrations: Migration[]): Plugin {
  return {
    name: 'built',
    setup(build) {
      build.onResolve({ filter: /^built:/ }, ({ path }) => ({ path, namespace: 'built' }))
      build.onLoad({ filter: /^built:views$/, namespace: 'built' }, () => ({
        contents: compileViews(viewsDir),
      }))
      build.onLoad({ filter: /^built:facts$/, namespace: 'built' }, () => ({
        loader: 'json',
        contents: JSON.stringify({
          migrations,
          assets: assetAddresses(viewsDir),
          sqlite: sqliteAddress(),
          headers: Object.fromEntries(headersOfAnswers(secure)),
        }),
      }))
    },
  }
}

/** Zod brings its messages in forty languages; ours are in English. */
const englishOnly: Plugin = {
  name: 'english only',
  setup(build) {
    build.onResolve({ filter: /locales\/index\.js$/ }, ({ path: asked, resolveDir }) =>
      resolveDir.includes(`${path.sep}zod${path.sep}`)
        ? { path: path.join(resolveDir, asked.replace(/index\.js$/, 'en.js')), pluginData: 'english' }
        : null,
    )
  },
}
