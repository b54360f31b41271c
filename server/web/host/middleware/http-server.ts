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

/** The application behind a server that does not listen yet. */
export function createHttpServer(app: Express, held: typeof limits = limits): Server {
  class Request extends IncomingMessage {}
  class Response extends ServerResponse<Request> {}
  app.request = Object.setPrototypeOf(Request.prototype, app.request)
  app.response = Object.setPrototypeOf(Response.prototype, app.response)
  return createServer({ ...held, IncomingMessage: Request, ServerResponse: Response }, app)
}
