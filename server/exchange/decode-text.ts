import { type Encoding, Refused } from './table.ts'

/**
 * The text of a file and how it was read: by its byte mark, else UTF-16 where every other byte is nothing,
 * else UTF-8 where it is valid, else Windows-1252. Throws Refused when it is no text at all.
 */
export function decodeText(bytes: Uint8Array, wanted?: Encoding): { text: string; encoding: Encoding } {
  const encoding = wanted ?? byMark(bytes) ?? byZeros(bytes) ?? (isUtf8(bytes) ? 'utf-8' : 'windows-1252')
  // A byte mark of this encoding is not part of the text; the decoder takes it off.
  const text = encoding === 'windows-1252' ? fromWindows(bytes) : new TextDecoder(encoding).decode(bytes)
  if (text.includes('\u0000')) throw new Refused('This is not a text file: save the sheet as CSV or .xlsx.')
  return { text, encoding }
}

function byMark([a, b, c]: Uint8Array): Encoding | null {
  if (a === 0xef && b === 0xbb && c === 0xbf) return 'utf-8'
  if (a === 0xff && b === 0xfe) return 'utf-16le'
  return a === 0xfe && b === 0xff ? 'utf-16be' : null
}

function byZeros(bytes: Uint8Array): Encoding | null {
  const start = bytes.subarray(0, 2000)
  let [even, odd] = [0, 0]
  start.forEach((byte, at) => {
    if (byte === 0) at % 2 === 0 ? even++ : odd++
  })
  if (odd > start.length / 4 && even === 0) return 'utf-16le'
  return even > start.length / 4 && odd === 0 ? 'utf-16be' : null
}

function isUtf8(bytes: Uint8Array): boolean {
  try {
    new TextDecoder('utf-8', { fatal: true }).decode(bytes)
    return true
  } catch {
    return false
  }
}

/**
 * What Windows-1252 has at 0x80 to 0x9F; the rest is as in
 * Latin-1. Some versions of Node's own decoder leave these out.
 */
const windows = '€\u0081‚ƒ„…†‡ˆ‰Š‹Œ\u008dŽ\u008f\u0090‘’“”•–—˜™š›œ\u009džŸ'

function fromWindows(bytes: Uint8Array): string {
  const latin = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength).toString('latin1')
  return latin.replace(/[\u0080-\u009f]/g, letter => windows[letter.charCodeAt(0) - 0x80] ?? letter)
}
