// The tablet's own store. Storing can fail (full, or a private window); the answer says so, nothing is thrown.

/** Who is signed in; what one person typed is neither shown nor sent as another's. */
export const person = meta('person') ?? 'nobody'

/** @param {string} name @returns {string | null} */
export function meta(name) {
  return document.querySelector(`meta[name="${name}"]`)?.getAttribute('content') ?? null
}

/** @param {string} name @param {unknown} value @returns {boolean} false when the tablet did not keep it */
export function keep(name, value) {
  try {
    localStorage.setItem(name, JSON.stringify(value))
    return true
  } catch {
    return false
  }
}

/** @param {string} name @returns {any} null when nothing readable is kept under the name */
export function recall(name) {
  try {
    return JSON.parse(localStorage.getItem(name) ?? 'null')
  } catch {
    return null
  }
}

/** @param {string} name */
export function forget(name) {
  try {
    localStorage.removeItem(name)
  } catch {}
}

/** @param {string} prefix @returns {string[]} */
export function namesFrom(prefix) {
  try {
    return Object.keys(localStorage).filter(name => name.startsWith(prefix))
  } catch {
    return []
  }
}
