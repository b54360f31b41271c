import type { Request, Response } from 'express'
import { z } from 'zod'
import { AppError } from '../../../errors.ts'
import { photoPath, savePhotoFile } from '../../../storage/safekeeping/photo-files.ts'
import type { Photo } from '../../../storage/storage.ts'
import type { Deps } from '../../deps.ts'
import { renderErrors } from '../../host/page.ts'
import { type FormErrors, formId, optionalWords } from '../../host/read-form.ts'
import { person, written } from '../../host/visitor.ts'
import { type FaultInHand, readOwnFault } from '../attend/fault-in-hand.ts'
import { placeInWalk } from '../check/place-in-walk.ts'
import { bared, photoType } from './photos-content.ts'
import { readUpload } from './photos-upload.ts'

const mostBytes = 8_000_000

/** Opened by itself it runs nothing, and no page may frame it; what does not fall back on default-src is named too. */
const pictureOnly =
  "default-src 'none'; object-src 'none'; base-uri 'none'; frame-ancestors 'none'; form-action 'none'; sandbox"

const taken = z.object({
  id: formId,
  finding: z.string().max(64).optional(),
  report: z.string().max(64).optional(),
  words: optionalWords(300),
})

/** A picture as pages show it. */
export interface ShownPhoto {
  href: string
  alt: string
  words: string | null
  findingId: string | null
  reportId: string | null
  byName: string
  at: string
}

/** The pictures of a fault, oldest first. */
export function photosOf(deps: Deps, faultId: string): ShownPhoto[] {
  return deps.storage.photos.listByFault(faultId).map(shown)
}

/** Attaches a picture to a finding or a report; never needed to go on. */
export const create = (deps: Deps) => async (req: Request, res: Response) => {
  const fault = readOwnFault(deps, req, res)
  const { fields, file } = await readUpload(req, 'photo', mostBytes)
  const form = taken.safeParse(fields)
  if (!form.success)
    throw new AppError('invalid', 'This page is out of date. Reload it and send the form again.')
  const picture = file && bared(file)
  const type = picture && photoType(picture)
  if (!picture || !type) return again(res, fault, fields, file)
  const { finding, report } = form.data
  deps.storage.photos.add({
    ...{ id: form.data.id, words: form.data.words, ...subjectOf(deps, fault, finding, report) },
    ...{ faultId: fault.record.fault.id, attendanceId: fault.attendance.id, by: person(res).id },
    ...{ sha256: savePhotoFile(deps.config.dataDir, picture), type, bytes: picture.length },
  })
  written(deps, req, res, form.data.id, backTo(fault, finding))
}

/** The file itself, to whoever is signed in; it can be nothing to a browser but a picture. */
export const show = (deps: Deps) => (req: Request, res: Response) => {
  const photo = deps.storage.photos.get(String(req.params.photo))
  res.setHeader('Content-Security-Policy', pictureOnly)
  res.setHeader('Content-Disposition', `inline; filename="${photo.sha256.slice(0, 12)}.${ending(photo)}"`)
  res.setHeader('Cache-Control', 'private, max-age=604800, immutable')
  res.type(photo.type)
  res.sendFile(photoPath(deps.config.dataDir, photo.sha256), { dotfiles: 'allow', cacheControl: false })
}

function shown(photo: Photo): ShownPhoto {
  const { words, findingId, reportId, byName, at } = photo
  return {
    href: `/photos/${photo.id}`,
    alt: words ?? 'Picture taken on site',
    words,
    findingId,
    reportId,
    byName,
    at,
  }
}

function subjectOf(deps: Deps, fault: FaultInHand, finding: string | undefined, report: string | undefined) {
  if (finding && fault.record.findings.some(one => one.id === finding))
    return { findingId: finding, reportId: null }
  if (report && deps.storage.reports.get(report).faultId === fault.record.fault.id)
    return { findingId: null, reportId: report }
  throw new AppError('invalid', 'The form does not say what the picture belongs to. Go back to the fault.')
}

/** The picture's own small page, with what was wrong with the file. */
function again(res: Response, fault: FaultInHand, values: Record<string, unknown>, file: Buffer | null) {
  const photo = file
    ? 'That file is no JPEG or PNG picture, or it is damaged. Choose another one.'
    : 'Choose a picture first.'
  const errors: FormErrors = { photo }
  renderErrors(res, 'technician/photos/photo', {
    title: 'Attach a picture',
    fault,
    place: placeInWalk(fault),
    values,
    errors,
  })
}

function backTo(fault: FaultInHand, finding: string | undefined): string {
  const base = `/faults/${fault.record.fault.id}`
  const found = fault.record.findings.find(one => one.id === finding)
  return found && 'check' in found ? `${base}/checks/${found.check.tree}/${found.check.check}` : base
}

const ending = ({ type }: Photo) => (type === 'image/png' ? 'png' : 'jpg')
