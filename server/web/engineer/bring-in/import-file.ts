import busboy from 'busboy'
import type { Request } from 'express'
import { limits } from '../../../exchange/table.ts'

export interface SentFile {
  fields: Record<string, string>
  name: string
  bytes: Uint8Array
}

export type Sent = { ok: true; sent: SentFile } | { ok: false; error: string }

/** Takes one file and a few fields out of a form sent as multipart, within limits; never rejects. */
export function readSentFile(req: Request): Promise<Sent> {
  return new Promise(resolve => {
    const refuse = (error: string) => {
      req.unpipe()
      req.resume() // the rest is read and dropped, so that the answer can be heard
      resolve({ ok: false, error })
    }
    let parser: busboy.Busboy
    try {
      parser = busboy({
        headers: req.headers,
        limits: { files: 1, fields: 10, parts: 12, fieldSize: 2000, fileSize: limits.bytes, headerPairs: 50 },
      })
    } catch {
      return refuse('Choose a file.')
    }
    const fields: Record<string, string> = {}
    const chunks: Buffer[] = []
    let name = ''
    parser.on('field', (field, value) => {
      fields[field] = value
    })
    parser.on('file', (_field, stream, info) => {
      name = plainName(info.filename)
      stream.on('data', (chunk: Buffer) => chunks.push(chunk))
      stream.on('limit', () => refuse(`The file is larger than ${limits.bytes / 1e6} MB. Split it.`))
    })
    parser.on('error', () => refuse('The form arrived damaged. Send it again.'))
    parser.on('close', () => {
      const bytes = Buffer.concat(chunks)
      if (bytes.length === 0) return refuse(name ? 'The file is empty.' : 'Choose a file.')
      resolve({ ok: true, sent: { fields, name, bytes } })
    })
    req.on('aborted', () => refuse('The form arrived damaged. Send it again.'))
    req.pipe(parser)
  })
}

/** The last part of the name, without what does not print. */
function plainName(name: string | undefined): string {
  const last = (name ?? '').split(/[\\/]/).at(-1) ?? ''
  // biome-ignore lint/suspicious/noControlCharactersInRegex: they are what is taken out
  return last.replace(/[\u0000-\u001f\u007f]/g, '').slice(0, 120) || 'file'
}
