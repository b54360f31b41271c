// Pages are packed whole, as they are sent: an answer in one piece needs no stream. What is sent otherwise (tables, files)
// goes through `compression`.

import { type BrotliOptions, brotliCompress, constants, gzip } from 'node:zlib'
import type { Request } from 'express'

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
