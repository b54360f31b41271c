// What a picture may carry into the record: the picture. Where it was taken, with which device and by whom the camera
// thinks it was is taken out, whatever the tablet did before.

/** Null when the bytes are neither a JPEG nor a PNG, whatever their name says. */
export function photoType(bytes: Uint8Array): 'image/jpeg' | 'image/png' | null {
  if (bytes.length > 4 && bytes[0] === 0xff && bytes[1] === 0xd8 && bytes[2] === 0xff) return 'image/jpeg'
  if (pngSignature.every((byte, n) => bytes[n] === byte)) return 'image/png'
  return null
}

/**
 * Width times height as the picture's own head says it: how much a tablet unpacks to show it, however small the file is.
 * Null when it does not say. (JPEG: frame headers SOF0 to SOF15 of ISO/IEC 10918-1 annex B; PNG: IHDR of ISO/IEC 15948,
 * values from memory.)
 */
export function pixelsOf(bytes: Uint8Array): number | null {
  const view = viewOf(bytes)
  if (photoType(bytes) === 'image/png') {
    if (bytes.length < 24 || textOf(bytes, 12, 16) !== 'IHDR') return null
    return view.getUint32(16) * view.getUint32(20) || null
  }
  let most = 0
  for (let at = 2; at + 9 <= bytes.length && bytes[at] === 0xff; ) {
    const marker = bytes[at + 1] ?? 0
    const end = marker === 0xff ? at + 1 : segmentEnd(bytes, at, marker)
    if (end === null || marker === 0xd9) break
    // C4, C8 and CC are tables, not frames.
    if ((marker & 0xf0) === 0xc0 && ![0xc4, 0xc8, 0xcc].includes(marker))
      most = Math.max(most, view.getUint16(at + 5) * view.getUint16(at + 7))
    at = end
  }
  return most || null
}

/**
 * The same picture without its metadata; of a JPEG the orientation stays, as nothing else says it. Null when it is
 * damaged. (JPEG: markers of ISO/IEC 10918-1 annex B; PNG: chunks of ISO/IEC 15948, value from memory.)
 */
export function stripMetadata(bytes: Uint8Array): Uint8Array | null {
  const type = photoType(bytes)
  if (type === 'image/jpeg') return stripJpeg(bytes)
  if (type === 'image/png') return stripPng(bytes)
  return null
}

/** Segments a decoder needs, and JFIF (E0) and Adobe (EE), which say how to read the colours. */
function stripJpeg(bytes: Uint8Array): Uint8Array | null {
  const segments: Uint8Array[] = [bytes.subarray(0, 2)]
  let orientation = 1
  for (let at = 2; at + 2 <= bytes.length; ) {
    if (bytes[at] !== 0xff) return null
    const marker = bytes[at + 1] ?? 0
    // The end; cameras append videos and second pictures behind it.
    if (marker === 0xd9)
      return joined([...withOrientation(segments, orientation), bytes.subarray(at, at + 2)])
    const end = marker === 0xff ? at + 1 : segmentEnd(bytes, at, marker)
    if (end === null) return null
    const segment = bytes.subarray(at, end)
    if (marker === 0xe1) orientation = orientationIn(segment) ?? orientation
    if (marker !== 0xff && !isMetadata(marker)) segments.push(segment)
    at = end
  }
  return null
}

/** Where a segment ends, the scan behind its header (DA) taken with it; null when it runs out of the file. */
function segmentEnd(bytes: Uint8Array, at: number, marker: number): number | null {
  if (at + 4 > bytes.length) return null
  const end = at + 2 + viewOf(bytes).getUint16(at + 2)
  if (marker !== 0xda || end > bytes.length) return end > bytes.length ? null : end
  for (let next = bytes.indexOf(0xff, end); next >= 0; next = bytes.indexOf(0xff, next + 2)) {
    const after = bytes[next + 1] ?? 0
    // A stuffed byte and a restart marker belong to the scan.
    if (after !== 0 && (after < 0xd0 || after > 0xd7)) return next
  }
  return null
}

/** Application segments and comments speak about the picture; all others are of it. */
function isMetadata(marker: number): boolean {
  return (marker >= 0xe1 && marker <= 0xef && marker !== 0xee) || marker === 0xfe
}

/** EXIF's orientation, 1 to 8; null where the segment does not give it. */
function orientationIn(segment: Uint8Array): number | null {
  if (segment.length < 18 || textOf(segment, 4, 10) !== 'Exif\0\0') return null
  const tiff = viewOf(segment.subarray(10))
  const little = textOf(segment, 10, 12) === 'II'
  const first = tiff.getUint32(4, little)
  if (first + 2 > tiff.byteLength) return null
  const entries = tiff.getUint16(first, little)
  for (let n = 0, at = first + 2; n < entries && at + 12 <= tiff.byteLength; n += 1, at += 12) {
    if (tiff.getUint16(at, little) !== 0x0112) continue
    const value = tiff.getUint16(at + 8, little)
    return value >= 1 && value <= 8 ? value : null
  }
  return null
}

/** An EXIF segment that holds the orientation and nothing else, behind the start and JFIF. */
function withOrientation(segments: Uint8Array[], orientation: number): Uint8Array[] {
  if (orientation === 1) return segments
  const exif = Uint8Array.from(onlyOrientation)
  viewOf(exif).setUint16(28, orientation, true)
  const after = segments[1]?.[1] === 0xe0 ? 2 : 1
  return [...segments.slice(0, after), exif, ...segments.slice(after)]
}

/** Length 34, “Exif”, little-endian TIFF with one entry: orientation, one short. */
const onlyOrientation = fromHex(
  'ffe10022 457869660000 49492a0008000000 0100 12010300 01000000 01000000 00000000',
)

const pngSignature = fromHex('89504e470d0a1a0a')
const pngChunks = new Set(['IHDR', 'PLTE', 'tRNS', 'IDAT', 'IEND', 'gAMA', 'cHRM', 'sRGB'])

function stripPng(bytes: Uint8Array): Uint8Array | null {
  const chunks: Uint8Array[] = [pngSignature]
  for (let at = 8; at + 12 <= bytes.length; ) {
    const end = at + 12 + viewOf(bytes).getUint32(at)
    if (end > bytes.length) return null
    const name = textOf(bytes, at + 4, at + 8)
    if (pngChunks.has(name)) chunks.push(bytes.subarray(at, end))
    if (name === 'IEND') return joined(chunks)
    at = end
  }
  return null
}

function viewOf(bytes: Uint8Array): DataView {
  return new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength)
}

function textOf(bytes: Uint8Array, from: number, to: number): string {
  return String.fromCharCode(...bytes.subarray(from, to))
}

function fromHex(digits: string): Uint8Array {
  const pairs = digits.replaceAll(' ', '').match(/../g) ?? []
  return Uint8Array.from(pairs, pair => Number.parseInt(pair, 16))
}

function joined(parts: Uint8Array[]): Uint8Array {
  const all = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0))
  let at = 0
  for (const part of parts) {
    all.set(part, at)
    at += part.length
  }
  return all
}
