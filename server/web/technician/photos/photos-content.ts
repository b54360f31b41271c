// What a picture may carry into the record: the picture. Where it was taken, with which device and by whom the camera
// thinks it was is taken out, whatever the tablet did before.

/** Null when the bytes are neither a JPEG nor a PNG, whatever their name says. */
export function photoType(bytes: Buffer): 'image/jpeg' | 'image/png' | null {
  if (bytes.length > 4 && bytes.readUInt16BE(0) === 0xffd8 && bytes[2] === 0xff) return 'image/jpeg'
  if (bytes.subarray(0, 8).equals(pngSignature)) return 'image/png'
  return null
}

/**
 * The same picture without its metadata; of a JPEG the way up is kept, as nothing else says it.
 * Null when it is damaged. (JPEG: markers of ISO/IEC 10918-1 annex B; PNG: chunks of ISO/IEC 15948, value from memory.)
 */
export function bared(bytes: Buffer): Buffer | null {
  const type = photoType(bytes)
  if (type === 'image/jpeg') return baredJpeg(bytes)
  if (type === 'image/png') return baredPng(bytes)
  return null
}

/** Segments a decoder needs, and JFIF (E0) and Adobe (EE), which say how to read the colours. */
function baredJpeg(bytes: Buffer): Buffer | null {
  const kept: Buffer[] = [bytes.subarray(0, 2)]
  let wayUp = 1
  for (let at = 2; at + 2 <= bytes.length; ) {
    if (bytes[at] !== 0xff) return null
    const marker = bytes[at + 1] ?? 0
    // The end; cameras append videos and second pictures behind it.
    if (marker === 0xd9) return Buffer.concat([...withWayUp(kept, wayUp), bytes.subarray(at, at + 2)])
    const end = marker === 0xff ? at + 1 : segmentEnd(bytes, at, marker)
    if (end === null) return null
    const segment = bytes.subarray(at, end)
    if (marker === 0xe1) wayUp = wayUpIn(segment) ?? wayUp
    if (marker !== 0xff && !isAbout(marker)) kept.push(segment)
    at = end
  }
  return null
}

/** Where a segment ends, the scan behind its header (DA) taken with it; null when it runs out of the file. */
function segmentEnd(bytes: Buffer, at: number, marker: number): number | null {
  if (at + 4 > bytes.length) return null
  const end = at + 2 + bytes.readUInt16BE(at + 2)
  if (marker !== 0xda || end > bytes.length) return end > bytes.length ? null : end
  for (let next = bytes.indexOf(0xff, end); next >= 0; next = bytes.indexOf(0xff, next + 2)) {
    const after = bytes[next + 1] ?? 0
    // A stuffed byte and a restart marker belong to the scan.
    if (after !== 0 && (after < 0xd0 || after > 0xd7)) return next
  }
  return null
}

/** Application segments and comments speak about the picture; all others are of it. */
function isAbout(marker: number): boolean {
  return (marker >= 0xe1 && marker <= 0xef && marker !== 0xee) || marker === 0xfe
}

/** EXIF's orientation, 1 to 8; null where the segment says nothing of it. */
function wayUpIn(segment: Buffer): number | null {
  if (segment.length < 18 || segment.toString('latin1', 4, 10) !== 'Exif\0\0') return null
  const tiff = segment.subarray(10)
  const little = tiff.toString('latin1', 0, 2) === 'II'
  const short = (at: number) => (little ? tiff.readUInt16LE(at) : tiff.readUInt16BE(at))
  const first = little ? tiff.readUInt32LE(4) : tiff.readUInt32BE(4)
  if (first + 2 > tiff.length) return null
  for (let n = 0, at = first + 2; n < short(first) && at + 12 <= tiff.length; n += 1, at += 12) {
    if (short(at) !== 0x0112) continue
    const value = short(at + 8)
    return value >= 1 && value <= 8 ? value : null
  }
  return null
}

/** An EXIF segment that holds the orientation and nothing else, behind the start and JFIF. */
function withWayUp(kept: Buffer[], wayUp: number): Buffer[] {
  if (wayUp === 1) return kept
  const exif = Buffer.from(onlyWayUp, 'hex')
  exif.writeUInt16LE(wayUp, 28)
  const after = kept[1]?.[1] === 0xe0 ? 2 : 1
  return [...kept.slice(0, after), exif, ...kept.slice(after)]
}

/** Length 34, “Exif”, little-endian TIFF with one entry: orientation, one short. */
const onlyWayUp = [
  ...['ffe10022', '457869660000', '49492a0008000000', '0100'],
  ...['12010300', '01000000', '01000000', '00000000'],
].join('')

const pngSignature = Buffer.from('89504e470d0a1a0a', 'hex')
const pngKept = new Set(['IHDR', 'PLTE', 'tRNS', 'IDAT', 'IEND', 'gAMA', 'cHRM', 'sRGB'])

function baredPng(bytes: Buffer): Buffer | null {
  const kept: Buffer[] = [pngSignature]
  for (let at = 8; at + 12 <= bytes.length; ) {
    const end = at + 12 + bytes.readUInt32BE(at)
    if (end > bytes.length) return null
    const name = bytes.toString('latin1', at + 4, at + 8)
    if (pngKept.has(name)) kept.push(bytes.subarray(at, end))
    if (name === 'IEND') return Buffer.concat(kept)
    at = end
  }
  return null
}
