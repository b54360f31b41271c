/**
 * The address of a heading inside its file, as Markdown viewers make it: lower case, spaces to hyphens,
 * other punctuation dropped. `slugOf('Drive input, far end')` is `'drive-input-far-end'`.
 */
export function slugOf(title: string): string {
  return title
    .trim()
    .toLowerCase()
    .replace(/[^\p{L}\p{N}\s_-]/gu, '')
    .replace(/\s/g, '-')
}
