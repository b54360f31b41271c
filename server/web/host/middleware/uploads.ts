import busboy from 'busboy'
import type { Request } from 'express'
import { AppError } from '../../../errors.ts'
import type { Upload, UploadLimits } from '../request.ts'

/** Reads a form with one file as it streams in. Rejects with 'too large' past the limit, 'invalid' when damaged. */
export function readUpload(req: Request, { field, bytes, tooLarge }: UploadLimits): Promise<Upload> {
  return new Promise((resolve, reject) => {
    const refuse = (error: AppError) => {
      req.unpipe()
      req.resume() // the rest is read and dropped, so that the answer can be heard
      reject(error)
    }
    const damaged = () =>
      refuse(new AppError('invalid', 'The form arrived damaged. Go back and send it again.'))
    const reader = readerOf(req, bytes)
    if (!reader) return damaged()
    const fields: Record<string, string> = {}
    const chunks: Buffer[] = []
    let name = ''
    reader.on('field', (key, value) => {
      fields[key] = value
    })
    reader.on('file', (key, stream, info) => {
      if (key === field) name = plainName(info.filename)
      stream.on('data', (chunk: Buffer) => key === field && chunks.push(chunk))
      stream.on('limit', () => refuse(new AppError('too large', tooLarge)))
      // A form that ends in the middle of a file says so here too; unheard, it would end the program.
      stream.on('error', damaged)
    })
    reader.on('close', () =>
      resolve({ fields, name, file: chunks.length > 0 ? Buffer.concat(chunks) : null }),
    )
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

/** The last part of the name, without what does not print. */
function plainName(name: string | undefined): string {
  const last = (name ?? '').split(/[\\/]/).at(-1) ?? ''
  // biome-ignore lint/suspicious/noControlCharactersInRegex: they are what is taken out
  return last.replace(/[\u0000-\u001f\u007f]/g, '').slice(0, 120)
}
