// Pictures small enough to stand here: 8 by 4 points as JPEG, 3 by 2 as PNG, drawn for the tests.

export const jpeg = Buffer.from(
  '/9j/4AAQSkZJRgABAQAAAQABAAD/2wBDABQODxIPDRQSEBIXFRQYHjIhHhwcHj0sLiQySUBMS0dARkVQWnNiUFVtVkVGZIhlbXd7gYKBTmCNl4x9lnN+gXz/2wBDARUXFx4aHjshITt8U0ZTfHx8fHx8fHx8fHx8fHx8fHx8fHx8fHx8fHx8fHx8fHx8fHx8fHx8fHx8fHx8fHx8fHz/wAARCAAEAAgDASIAAhEBAxEB/8QAFQABAQAAAAAAAAAAAAAAAAAAAAb/xAAXEAEAAwAAAAAAAAAAAAAAAAAAAxRR/8QAFQEBAQAAAAAAAAAAAAAAAAAAAwb/xAAZEQABBQAAAAAAAAAAAAAAAAAAAQMTUpH/2gAMAwEAAhEDEQA/AJyxJoCggaqmDTOWXT//2Q==',
  'base64',
)

export const png = Buffer.from(
  'iVBORw0KGgoAAAANSUhEUgAAAAMAAAACAQMAAACnuvRZAAAABlBMVEX/AAAAAP9sof2OAAAADElEQVQI12NgYHgAAADkAOF67cd7AAAAAElFTkSuQmCC',
  'base64',
)

/** The JPEG as a camera writes it: turned a quarter, with a place, a comment and another picture behind. */
export function cameraJpeg(): Buffer {
  const entry = '12010300' + '01000000' + '06000000'
  const tiff = Buffer.from(`49492a00080000000100${entry}00000000`, 'hex')
  const exif = segment(0xe1, Buffer.concat([Buffer.from('Exif\0\0'), tiff, Buffer.from('GPS 12.3456 N')]))
  const comment = segment(0xfe, Buffer.from('taken by a person'))
  return Buffer.concat([jpeg.subarray(0, 2), exif, comment, jpeg.subarray(2), Buffer.from('trailing video')])
}

/** The PNG with a text chunk. */
export function talkingPng(): Buffer {
  const text = Buffer.from('Author\0a person')
  const length = Buffer.alloc(4)
  length.writeUInt32BE(text.length)
  const chunk = Buffer.concat([length, Buffer.from('tEXt'), text, Buffer.alloc(4)])
  const afterHead = 8 + 25
  return Buffer.concat([png.subarray(0, afterHead), chunk, png.subarray(afterHead)])
}

function segment(marker: number, content: Buffer): Buffer {
  const head = Buffer.from([0xff, marker, 0, 0])
  head.writeUInt16BE(content.length + 2, 2)
  return Buffer.concat([head, content])
}
