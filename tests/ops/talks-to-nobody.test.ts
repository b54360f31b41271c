import { describe, expect, it } from 'vitest'
import { filesBelow, textOf } from '../repo/files.ts'

// The program answers and never asks: no other host, and no page of ours makes a browser ask one. Scripts and calls that
// would are held by tests/repo/sharp-tools.test.ts.

const network = /from '(?:node:)?(https?|http2|net|tls|dgram|dns|dns\/promises)'/g
/** Listens, and types of what it was asked. */
const listeners: Record<string, string[]> = {
  'server/start.ts': ['http', 'net'],
  'server/web/host/middleware/http-server.ts': ['http'],
  'server/web/host/middleware/security-headers.ts': ['http'],
}
describe('the program talks to nobody', () => {
  it('opens the network only where it listens', () => {
    for (const file of filesBelow('server', '.ts')) {
      const used = [...textOf(file).matchAll(network)].map(([, name = '']) => name)
      expect([file, used.toSorted()]).toEqual([file, listeners[file] ?? []])
    }
  })

  it('draws its pages with its own sheets, scripts and pictures', () => {
    const elsewhere =
      /(?:src|action|srcset)="(?:https?:)?\/\/|<link[^>]+href="(?:https?:)?\/\/|url\((["']?)(?:https?:)?\/\/|@import/
    const files = [
      ...filesBelow('views', '.ejs'),
      ...filesBelow('views/assets', '.css'),
      ...filesBelow('views/assets', '.js'),
    ]
    expect(files.length).toBeGreaterThan(50)
    expect(files.filter(file => elsewhere.test(textOf(file)))).toEqual([])
  })
})
