// A picture is made small on the tablet before it is sent; turned the right way up, and without what the camera knew.

const longestSide = 1600
const quality = 0.8

export function startPhotos() {
  for (const form of document.querySelectorAll('form[data-photo]')) {
    const field = form.querySelector('input[type="file"]')
    if (field instanceof HTMLInputElement) field.addEventListener('change', () => makeSmall(field))
  }
}

/** What can't be made small is sent as it is; the server looks at it again. @param {HTMLInputElement} field */
async function makeSmall(field) {
  const file = field.files?.[0]
  if (!file) return
  try {
    const small = await smaller(file)
    if (!small || small.size >= file.size) return
    const chosen = new DataTransfer()
    chosen.items.add(new File([small], 'picture.jpg', { type: 'image/jpeg' }))
    field.files = chosen.files
  } catch {}
}

/** @param {File} file @returns {Promise<Blob | null>} */
async function smaller(file) {
  const picture = await createImageBitmap(file)
  const scale = Math.min(1, longestSide / Math.max(picture.width, picture.height))
  const canvas = document.createElement('canvas')
  canvas.width = Math.round(picture.width * scale)
  canvas.height = Math.round(picture.height * scale)
  canvas.getContext('2d')?.drawImage(picture, 0, 0, canvas.width, canvas.height)
  return new Promise(resolve => canvas.toBlob(resolve, 'image/jpeg', quality))
}
