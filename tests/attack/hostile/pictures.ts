// Pictures that are none, or not what they say.

import { cameraJpeg, jpeg, png, talkingPng } from '../../support/pictures.ts'

/** By name. */
export function hostilePictures(): [string, Buffer][] {
  const sized = (width: number, height: number) => {
    const picture = Buffer.from(png)
    picture.writeUInt32BE(width, 16)
    picture.writeUInt32BE(height, 20)
    return picture
  }
  const segment = (marker: number, length: number, content = Buffer.alloc(0)) =>
    Buffer.concat([jpeg.subarray(0, 2), Buffer.from([0xff, marker, length >> 8, length & 255]), content])
  const tiff = (entries: number, first: number) => {
    const exif = Buffer.from('457869660000' + '49492a0000000000', 'hex')
    exif.writeUInt32LE(first, 10)
    const count = Buffer.from([entries & 255, entries >> 8])
    const content = Buffer.concat([exif, count])
    return Buffer.concat([segment(0xe1, content.length + 2, content), jpeg.subarray(2)])
  }
  return [
    ['huge', sized(20_000, 20_000)],
    ['as huge as a number', sized(0xffffffff, 0xffffffff)],
    ['without points', sized(0, 0)],
    ['a head alone', jpeg.subarray(0, 4)],
    ['a signature alone', png.subarray(0, 8)],
    ['cut in the middle', cameraJpeg().subarray(0, 200)],
    ['a segment of no length', Buffer.concat([segment(0xe0, 0), jpeg])],
    ['a segment longer than the file', segment(0xe0, 0xffff)],
    ['nothing but fill bytes', Buffer.concat([jpeg.subarray(0, 2), Buffer.alloc(1_000_000, 0xff)])],
    ['a scan without an end', Buffer.concat([segment(0xda, 2), Buffer.alloc(1_000_000, 1)])],
    ['a scan of restarts', Buffer.concat([segment(0xda, 2), Buffer.from('ffd0'.repeat(200_000), 'hex')])],
    [
      'thousands of segments',
      Buffer.concat([segment(0xe0, 2), Buffer.from('ffe00002'.repeat(100_000), 'hex')]),
    ],
    ['many entries of nothing', tiff(0xffff, 8)],
    ['entries far behind the end', tiff(1, 0xfffffff0)],
    [
      'a chunk longer than the file',
      Buffer.concat([png.subarray(0, 8), Buffer.from('ffffffff49484452', 'hex')]),
    ],
    [
      'thousands of chunks',
      Buffer.concat([
        png.subarray(0, 33),
        Buffer.from(`00000000${'49444154'}00000000`.repeat(50_000), 'hex'),
      ]),
    ],
    [
      'a drawing with a script',
      Buffer.from('<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'),
    ],
    ['a page', Buffer.from('<!doctype html><script>alert(1)</script>')],
    ['two pictures in one', Buffer.concat([png, jpeg, talkingPng()])],
    ['nothing', Buffer.alloc(0)],
    ['as large as allowed, of zeros', Buffer.alloc(8_000_000)],
    ['one byte too large', Buffer.concat([jpeg.subarray(0, 4), Buffer.alloc(8_000_000 - 3)])],
  ]
}
