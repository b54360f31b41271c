import { z } from 'zod'
import { AppError } from '../../../errors.ts'
import type { Photo } from '../../../storage/storage.ts'
import type { Deps } from '../../deps.ts'
import { formAgain, picture, redirectAfterWrite } from '../../host/answer.ts'
import { type FormErrors, formId, optionalWords } from '../../host/read-form.ts'
import type { Request } from '../../host/request.ts'
import { personStill } from '../../host/sessions.ts'
import { entryOf, type FaultInHand, readOwnFault } from '../in-hand/fault-in-hand.ts'
import { placeInWalk } from '../in-hand/place-in-walk.ts'
import { photoType, pixelsOf, stripMetadata } from './strip-metadata.ts'

const photoLimits = {
  field: 'photo',
  bytes: 8_000_000,
  tooLarge: 'A picture may hold 8 MB at most. Take a smaller one.',
}

/** Twice what the cameras of tablets take; a tablet unpacks four bytes for each to show the picture. */
const mostPixels = 50_000_000

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
export const create = (deps: Deps) => async (req: Request) => {
  const fault = readOwnFault(deps, req)
  const { fields, file } = await req.upload(photoLimits)
  personStill(deps, req, 'attend faults')
  const form = taken.safeParse(fields)
  if (!form.success)
    throw new AppError('invalid', 'This page is out of date. Reload it and send the form again.')
  const bytes = file && stripMetadata(file)
  const type = bytes && photoType(bytes)
  const trouble = file ? (bytes ? sizeTrouble(bytes) : damagedPicture) : 'Choose a picture first.'
  if (!bytes || !type || trouble) return again(fault, fields, trouble ?? damagedPicture)
  const { finding, report } = form.data
  deps.storage.photos.add({
    id: form.data.id,
    words: form.data.words,
    ...subjectOf(deps, fault, finding, report),
    ...entryOf(fault, req),
    sha256: deps.host.keepPicture(bytes),
    type,
    bytes: bytes.length,
  })
  return redirectAfterWrite(deps, req, form.data.id, backTo(fault, finding))
}

/** The file itself, for everybody signed in; a browser can take it for nothing but a picture. */
export const show = (deps: Deps) => (req: Request) => {
  const photo = deps.storage.photos.get(String(req.params.photo))
  return picture(photo.type, photo.sha256, {
    'Content-Security-Policy': pictureOnly,
    'Content-Disposition': `inline; filename="${photo.sha256.slice(0, 12)}.${ending(photo)}"`,
    'Cache-Control': 'private, max-age=604800, immutable',
  })
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

const damagedPicture = 'That file is no JPEG or PNG picture, or it is damaged. Choose another one.'

function sizeTrouble(bytes: Uint8Array): string | null {
  const pixels = pixelsOf(bytes)
  if (pixels === null) return damagedPicture
  if (pixels <= mostPixels) return null
  return `A picture may have ${mostPixels / 1e6} million points at most. Take a smaller one.`
}

/** The picture's own small page, with what was wrong with the file. */
function again(fault: FaultInHand, values: Record<string, unknown>, photo: string) {
  const errors: FormErrors = { photo }
  return formAgain('technician/photos/photo', {
    title: 'Attach a picture',
    fault,
    place: placeInWalk(fault),
    values,
    errors,
  })
}

function backTo(fault: FaultInHand, finding: string | undefined): string {
  const base = `/faults/${fault.record.fault.id}`
  const named = fault.record.findings.find(one => one.id === finding)
  return named && 'check' in named ? `${base}/checks/${named.check.tree}/${named.check.check}` : base
}

const ending = ({ type }: Photo) => (type === 'image/png' ? 'png' : 'jpg')

/** Pictures by the id of the finding they show; those of reports are left out. */
export function photosByFinding(photos: ShownPhoto[]): Record<string, ShownPhoto[]> {
  const byFinding: Record<string, ShownPhoto[]> = {}
  for (const photo of photos) {
    if (photo.findingId === null) continue
    byFinding[photo.findingId] = [...(byFinding[photo.findingId] ?? []), photo]
  }
  return byFinding
}
