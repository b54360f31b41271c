import type { AddressInfo } from 'node:net'
import { createHttpServer } from '../../server/web/host/middleware/http-server.ts'
import type { Site } from './site.ts'

/** The site's application on a free port of this machine, or on the one given. */
export function listen(site: Site, onPort = 0): Promise<{ address: string; close(): Promise<void> }> {
  return new Promise(resolve => {
    const server = createHttpServer(site.app).listen(onPort, '127.0.0.1', () => {
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
