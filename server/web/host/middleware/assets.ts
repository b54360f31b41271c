import { createHash } from 'node:crypto'
import { readdirSync, readFileSync } from 'node:fs'
import path from 'node:path'
import { brotliCompressSync, gzipSync } from 'node:zlib'
import { buildSync, transformSync } from 'esbuild'
import express, { type Router } from 'express'
import type { Deps } from '../../deps.ts'
import type { AssetAddresses } from '../draw-page.ts'
import { type Packing, packingFor } from './packing.ts'

interface Asset {
  name: string
  type: 'css' | 'js'
  bodies: Record<Packing, Buffer>
  hash: string
}

const year = 365 * 24 * 3600

/** Sheets and script are made small and packed once, when the program starts; so they can be packed as tightly as it goes. */
export function assets({ viewsDir }: Pick<Deps, 'viewsDir'>): Router {
  const router = express.Router()
  const root = path.join(viewsDir, 'assets')
  for (const { name, type, bodies } of build(root)) {
    router.get(`/${name}`, (req, res) => {
      const packing = packingFor(req)
      res.setHeader('Cache-Control', `public, max-age=${year}, immutable`)
      res.setHeader('Vary', 'Accept-Encoding')
      if (packing !== 'identity') res.setHeader('Content-Encoding', packing)
      res.type(type).send(bodies[packing])
    })
  }
  // A folder is no address: sent on to its slash, an answer would lose our headers for those of the file server.
  router.use('/js', express.static(path.join(root, 'js'), { maxAge: '1h', index: false, redirect: false }))
  for (const name of ['icon.svg', 'icon-192.png', 'icon-512.png', 'app.webmanifest'])
    router.get(`/${name}`, (_req, res) => {
      if (name.endsWith('.svg')) res.setHeader('Content-Type', 'image/svg+xml; charset=utf-8')
      res.sendFile(path.join(root, name), { maxAge: '1d' })
    })
  return router
}

/** Addresses that change when the content does. */
export function assetAddresses(viewsDir: string): AssetAddresses {
  const hashes = new Map(build(path.join(viewsDir, 'assets')).map(asset => [asset.name, asset.hash]))
  const address = (name: string) => `/assets/${name}?v=${hashes.get(name)}`
  return { app: address('app.css'), desk: address('desk.css'), script: address('app.js') }
}

/** By folder: joined and packed once for all applications of a process. */
const built = new Map<string, Asset[]>()

function build(root: string): Asset[] {
  const existing = built.get(root)
  if (existing) return existing
  const all = [
    asset(
      'app.css',
      sheet(root, name => !name.includes('desk')),
    ),
    asset(
      'desk.css',
      sheet(root, name => name.includes('desk')),
    ),
    asset('app.js', script(path.join(root, 'js/main.js'))),
  ]
  built.set(root, all)
  return all
}

/** Style sheets joined in the order of their names. */
function sheet(root: string, wanted: (name: string) => boolean): string {
  const folder = path.join(root, 'css')
  const names = readdirSync(folder).filter(name => name.endsWith('.css') && wanted(name))
  const joined = names.sort().map(name => readFileSync(path.join(folder, name), 'utf8'))
  return transformSync(joined.join('\n'), { loader: 'css', minify: true }).code
}

function script(entry: string): string {
  const built = buildSync({
    entryPoints: [entry],
    bundle: true,
    minify: true,
    format: 'esm',
    target: 'es2022',
    write: false,
  })
  return built.outputFiles[0]?.text ?? ''
}

function asset(name: string, text: string): Asset {
  const hash = createHash('sha256').update(text).digest('hex').slice(0, 12)
  const identity = Buffer.from(text)
  const bodies = { identity, br: brotliCompressSync(identity), gzip: gzipSync(identity, { level: 9 }) }
  return { name, type: name.endsWith('.css') ? 'css' : 'js', bodies, hash }
}

/** All style sheets in one text, for a page that is saved as one file. */
export function styleSheets(viewsDir: string): string {
  return sheet(path.join(viewsDir, 'assets'), () => true)
}
