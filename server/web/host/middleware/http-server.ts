// Express gives each request and answer the prototypes of its own when it comes in. V8 is slow with an object whose
// prototype has been changed and keeps it, with all that hangs on it, long after it is done with. Here they are made with
// those prototypes, so that there is nothing to change.

import { createServer, IncomingMessage, type Server, ServerResponse } from 'node:http'
import type { Express } from 'express'

/** What a slow or oversized request meets before any of ours. */
export const limits = {
  requestTimeout: 30_000,
  headersTimeout: 15_000,
  /** Longer than a proxy in front keeps a connection, so that the proxy closes first and never reuses a closed connection. */
  keepAliveTimeout: 75_000,
  connectionsCheckingInterval: 5_000,
  maxHeaderSize: 16_384,
}

/** How long requests under way may take once the server closes; the service's unit kills after 40 s. */
export const closingMs = 20_000

const unfinished = new WeakMap<Server, Set<ServerResponse>>()

/** The application behind a server that does not listen yet. */
export function createHttpServer(app: Express, held: typeof limits = limits): Server {
  class Request extends IncomingMessage {}
  class Response extends ServerResponse<Request> {}
  app.request = Object.setPrototypeOf(Request.prototype, app.request)
  app.response = Object.setPrototypeOf(Response.prototype, app.response)
  const server = createServer({ ...held, IncomingMessage: Request, ServerResponse: Response }, app)
  const answers = new Set<ServerResponse>()
  unfinished.set(server, answers)
  server.prependListener('request', (_, answer) => {
    answers.add(answer)
    answer.once('close', () => answers.delete(answer))
  })
  return server
}

/** Notes the requests under way; what it gives cuts off those of them that are still without an answer then. */
export function noteUnderWay(server: Server): () => void {
  const answers = [...(unfinished.get(server) ?? [])]
  return () => {
    for (const answer of answers) {
      if (answer.writableEnded || answer.destroyed) continue
      if (answer.headersSent) answer.destroy()
      else
        answer
          .writeHead(500, { 'Content-Type': 'text/plain; charset=utf-8', Connection: 'close' })
          .end(`Something went wrong here. Number: ${answer.getHeader('X-Request-Id')}`)
    }
  }
}

/**
 * Takes no more connections and lets the requests under way finish; those that take longer than `ms` are cut off. (Node
 * itself stops holding them to their time limits as soon as a server closes.)
 */
export function closeHttpServer(server: Server, ms = closingMs): Promise<void> {
  return new Promise((resolve, reject) => {
    const idle = setInterval(() => server.closeIdleConnections(), 200)
    const slow = setTimeout(() => server.closeAllConnections(), ms)
    server.close(error => {
      clearInterval(idle)
      clearTimeout(slow)
      if (error) reject(error)
      else resolve()
    })
    server.closeIdleConnections()
  })
}
