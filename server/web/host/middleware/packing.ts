// Pages are packed whole, as they are sent: an answer in one piece needs no stream. What is sent otherwise (tables, files)
// goes through `compression`.

import { type BrotliOptions, brotliCompress, constants, gzip } from 'node:zlib'
import type { Request, Response } from 'express'

export type Packing = 'br' | 'gzip' | 'identity'

/** Quick enough to be done for each page. */
const quick: BrotliOptions = { params: { [constants.BROTLI_PARAM_QUALITY]: 4 } }

/** As small as the browser takes it; the order in which it names them says nothing. */
export function packingFor(req: Request): Packing {
  if (req.headers['accept-encoding'] === undefined) return 'identity'
  if (req.acceptsEncodings('br')) return 'br'
  return req.acceptsEncodings('gzip') ? 'gzip' : 'identity'
}

/** Rejects only when memory runs out. */
export function packed(bytes: Buffer, packing: 'br' | 'gzip'): Promise<Buffer> {
  return new Promise((resolve, reject) => {
    const done = (error: Error | null, small: Buffer) => (error ? reject(error) : resolve(small))
    if (packing === 'br') brotliCompress(bytes, quick, done)
    else gzip(bytes, done)
  })
}

/** Sends a page, packed where the browser takes it. */
export function sendHtml(req: Request, res: Response, html: string): void {
  const bytes = encoded(html)
  const packing = packingFor(req)
  res.setHeader('Content-Type', 'text/html; charset=utf-8')
  res.setHeader('Vary', 'Accept-Encoding')
  if (packing === 'identity') send(res, bytes)
  else {
    packed(bytes, packing).then(
      small => send(res.setHeader('Content-Encoding', packing), small),
      () => send(res, bytes),
    )
  }
}

/** Room for a page while it is written as UTF-8: `Buffer.from` goes over the text twice to know its length. */
let room = Buffer.allocUnsafeSlow(64 * 1024)

function encoded(html: string): Buffer {
  const most = html.length * 3
  if (room.length < most) room = Buffer.allocUnsafeSlow(most)
  return Buffer.from(room.subarray(0, room.write(html)))
}

function send(res: Response, bytes: Buffer): void {
  res.setHeader('Content-Length', bytes.length)
  res.end(bytes)
}
