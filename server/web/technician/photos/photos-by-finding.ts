import type { ShownPhoto } from './photos.ts'

/** Pictures by the id of the finding they show; those of reports are left out. */
export function photosByFinding(photos: ShownPhoto[]): Record<string, ShownPhoto[]> {
  const byFinding: Record<string, ShownPhoto[]> = {}
  for (const photo of photos) {
    if (photo.findingId === null) continue
    byFinding[photo.findingId] = [...(byFinding[photo.findingId] ?? []), photo]
  }
  return byFinding
}
