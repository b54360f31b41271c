// The same headers with every answer, so they are asked of helmet once, not by its dozen steps for each.

import type { IncomingMessage, ServerResponse } from 'node:http'
import type { RequestHandler } from 'express'
import helmet from 'helmet'

/** `secure`: the program is reached by https only. */
export function securityHeaders(secure: boolean): RequestHandler {
  const headers = headersOfAnswers(secure)
  return (_req, res, next) => {
    for (const [name, value] of headers) res.setHeader(name, value)
    next()
  }
}

/** Name and value of each. */
export function headersOfAnswers(secure: boolean): [string, string][] {
  return headersOf(helmet(wanted(secure)))
}

/** What helmet sets on an answer; nothing of ours depends on the request. */
function headersOf(middleware: ReturnType<typeof helmet>): [string, string][] {
  const headers: [string, string][] = []
  const answer = {
    setHeader: (name: string, value: string) => headers.push([name, value]),
    removeHeader() {}, // X-Powered-By, which is never set here
  }
  middleware({} as IncomingMessage, answer as unknown as ServerResponse, error => {
    if (error) throw error
  })
  return headers
}

function wanted(secure: boolean): Parameters<typeof helmet>[0] {
  return {
    contentSecurityPolicy: {
      useDefaults: false,
      directives: {
        defaultSrc: ["'none'"],
        scriptSrc: ["'self'"],
        styleSrc: ["'self'"],
        imgSrc: ["'self'", 'data:'],
        connectSrc: ["'self'"],
        manifestSrc: ["'self'"],
        formAction: ["'self'"],
        objectSrc: ["'none'"],
        frameAncestors: ["'none'"],
        baseUri: ["'none'"],
      },
    },
    strictTransportSecurity: secure,
    referrerPolicy: { policy: 'same-origin' },
  }
}
