import { createHash } from 'node:crypto'
import { readdirSync, readFileSync } from 'node:fs'
import path from 'node:path'
import express, { type Router } from 'express'
import type { Deps } from './deps.ts'

/** Addresses of the sheets and scripts, with a hash of their content, so that a browser may keep them for ever. */
export interface AssetAddresses {
  app: string
  desk: string
  script: string
}

const year = 365 * 24 * 3600

/** Style sheets joined in the order of their names, and the scripts as they stand. */
export function assets({ viewsDir }: Deps): Router {
  const router = express.Router()
  const root = path.join(viewsDir, 'assets')
  for (const [name, text] of bundles(root)) {
    router.get(`/${name}`, (_req, res) => {
      res.setHeader('Cache-Control', `public, max-age=${year}, immutable`)
      res.type('css').send(text)
    })
  }
  router.use('/js', express.static(path.join(root, 'js'), { maxAge: '1h', index: false }))
  router.use('/', express.static(root, { maxAge: '1h', index: false, extensions: [] }))
  return router
}

/** `app.css`: what a technician's page needs; `desk.css`: what only the engineer's and author's pages need. */
export function bundles(root: string): Map<string, string> {
  const folder = path.join(root, 'css')
  const names = readdirSync(folder)
    .filter(name => name.endsWith('.css'))
    .sort()
  const join = (wanted: (name: string) => boolean) =>
    names
      .filter(wanted)
      .map(name => readFileSync(path.join(folder, name), 'utf8'))
      .join('\n')
  return new Map([
    ['app.css', join(name => !name.includes('desk'))],
    ['desk.css', join(name => name.includes('desk'))],
  ])
}

/** Addresses that change when the content does. */
export function assetAddresses(viewsDir: string): AssetAddresses {
  const root = path.join(viewsDir, 'assets')
  const sheets = bundles(root)
  const hashed = (name: string) => `/assets/${name}?v=${hash(sheets.get(name) ?? '')}`
  return { app: hashed('app.css'), desk: hashed('desk.css'), script: '/assets/js/main.js' }
}

function hash(text: string): string {
  return createHash('sha256').update(text).digest('hex').slice(0, 12)
}
