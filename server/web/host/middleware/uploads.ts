import busboy from 'busboy'
import type { Request } from 'express'
import { AppError } from '../../../errors.ts'
import { plainName, withoutControls } from '../../../plain-words.ts'
import type { Upload, UploadLimits } from '../request.ts'

/** Bytes of all files that are on their way in; one more has to wait. */
const mostInHand = 40_000_000
let inHand = 0

/**
 * Reads a form with one file as it streams in. Rejects with 'too large' past a limit, 'invalid' when damaged or cut off,
 * 'unavailable' while others send too much.
 */
export async function readUpload(req: Request, limits: UploadLimits): Promise<Upload> {
  const chunks: Buffer[] = []
  try {
    const { fields, name } = await readParts(req, limits, chunks)
    return { fields, name, file: chunks.length > 0 ? Buffer.concat(chunks) : null }
  } finally {
    for (const chunk of chunks) inHand -= chunk.length
  }
}

/** The form's fields and the name of its file, whose bytes go into `chunks`. */
function readParts(req: Request, { field, bytes, tooLarge }: UploadLimits, chunks: Buffer[]) {
  return new Promise<Pick<Upload, 'fields' | 'name'>>((resolve, reject) => {
    let refused = false
    const refuse = (code: 'invalid' | 'too large' | 'unavailable', words: string) => () => {
      refused = true
      req.unpipe()
      req.resume() // the rest is read and dropped, so that the answer can be heard
      reject(new AppError(code, words))
    }
    const damaged = refuse('invalid', 'The form arrived damaged. Go back and send it again.')
    const tooMany = refuse('too large', 'The form has too many fields, or one that is too long.')
    const tooBusy = refuse('unavailable', 'Too many files are being sent. Wait a minute, and send it again.')
    const reader = readerOf(req, bytes)
    if (!reader) return damaged()
    const fields = new Map<string, string>()
    let name = ''
    reader.on('field', (key, value, { valueTruncated }) => {
      if (valueTruncated || key.length > 100) tooMany()
      fields.set(key, withoutControls(value))
    })
    reader.on('file', (key, stream, info) => {
      if (key === field) name = fileName(info.filename)
      stream.on('data', (chunk: Buffer) => {
        if (key !== field || refused) return
        chunks.push(chunk)
        inHand += chunk.length
        if (inHand > mostInHand) tooBusy()
      })
      stream.on('limit', refuse('too large', tooLarge))
      // A form that ends in the middle of a file says so here too; unheard, it would end the program.
      stream.on('error', damaged)
    })
    for (const limit of ['filesLimit', 'fieldsLimit', 'partsLimit'] as const) reader.on(limit, tooMany)
    reader.on('close', () => resolve({ fields: Object.fromEntries(fields), name }))
    reader.on('error', damaged)
    req.on('aborted', damaged)
    req.pipe(reader)
  })
}

/** Null for a form that is not sent in parts, or does not say how they are told apart. */
function readerOf(req: Request, fileSize: number): busboy.Busboy | null {
  const limits = { fileSize, files: 1, fields: 20, fieldSize: 10_000, parts: 25, headerPairs: 50 }
  try {
    return req.is('multipart/form-data') ? busboy({ headers: req.headers, limits }) : null
  } catch {
    return null
  }
}

/** The last part of the name, as words go on record. */
function fileName(sent: string | undefined): string {
  return plainName((sent ?? '').split(/[\\/]/).at(-1) ?? '').slice(0, 120)
}
