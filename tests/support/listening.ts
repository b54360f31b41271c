import type { AddressInfo } from 'node:net'
import { createHttpServer } from '../../server/web/host/middleware/http-server.ts'
import type { Site } from './site.ts'

/** The site's application on a free port of this machine. */
export function listen(site: Site): Promise<{ address: string; close(): Promise<void> }> {
  return new Promise(resolve => {
    const server = createHttpServer(site.app).listen(0, '127.0.0.1', () => {
      const { port } = server.address() as AddressInfo
      const close = () =>
        new Promise<void>(done => {
          server.close(() => done())
          server.closeAllConnections()
        })
      resolve({ address: `http://127.0.0.1:${port}`, close })
    })
  })
}
