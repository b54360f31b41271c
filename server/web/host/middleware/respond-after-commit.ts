import type { RequestHandler, Response } from 'express'
import type { Deps } from '../../deps.ts'

/**
 * Holds each answer until what was written in the same turn is on disk: what the answer tells of, and what it may show of
 * another's. When that is lost, the answer is the page of trouble instead.
 */
export function respondAfterCommit({ storage: { commits } }: Deps): RequestHandler {
  return (_req, res, next) => {
    const whenKept = commits.watch()
    const { end, write } = res
    const headers = res.getHeaderNames()
    res.end = ((...args: Parameters<typeof end>) => {
      whenKept(lost => {
        Object.assign(res, { end, write })
        if (lost === null) return void end.apply(res, args)
        takeBack(res, headers)
        next(lost.error)
      })
      return res
    }) as typeof end
    res.write = ((...args: Parameters<typeof write>) => {
      commits.settle() // what is sent piece by piece is not held
      return write.apply(res, args)
    }) as typeof write
    next()
  }
}

/** The cookies and the address of an answer that is not given go with it. */
function takeBack(res: Response, headers: string[]): void {
  if (res.headersSent) return
  for (const name of res.getHeaderNames()) if (!headers.includes(name)) res.removeHeader(name)
}
