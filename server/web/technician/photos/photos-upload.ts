import busboy from 'busboy'
import type { Request } from 'express'
import { AppError } from '../../../errors.ts'

export interface Upload {
  fields: Record<string, string>
  /** Null when the form came without one. */
  file: Buffer | null
}

/** Reads a form with one file in its field `name`. Throws 'too large' past `most` bytes, 'invalid' when damaged. */
export function readUpload(req: Request, name: string, most: number): Promise<Upload> {
  return new Promise((resolve, reject) => {
    const damaged = () =>
      reject(new AppError('invalid', 'The form arrived damaged. Go back and send it again.'))
    if (!req.is('multipart/form-data')) return damaged()
    const limits = { fileSize: most, files: 1, fields: 20, fieldSize: 10_000, parts: 25 }
    const reader = readerOf(req, limits)
    if (!reader) return damaged()
    const fields: Record<string, string> = {}
    const parts: Buffer[] = []
    reader.on('field', (field, value) => {
      fields[field] = value
    })
    reader.on('file', (field, stream) => {
      stream.on('data', (part: Buffer) => field === name && parts.push(part))
      stream.on('limit', () => {
        parts.length = 0
        reject(new AppError('too large', `A picture may hold ${most / 1e6} MB at most. Take a smaller one.`))
      })
    })
    reader.on('close', () => resolve({ fields, file: parts.length > 0 ? Buffer.concat(parts) : null }))
    reader.on('error', damaged)
    req.pipe(reader)
  })
}

/** Null for a form that does not say how its parts are told apart. */
function readerOf(req: Request, limits: busboy.Limits): busboy.Busboy | null {
  try {
    return busboy({ headers: req.headers, limits })
  } catch {
    return null
  }
}
