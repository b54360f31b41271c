// The tablet's own store. It outlives a killed browser, as the plain local store does not.
// Keeping can fail (full, or a private window); the answer says so, and nothing is thrown.

/** Who is signed in; what one person typed is neither shown nor sent as another's. */
export const person = meta('person') ?? 'nobody'

/** @type {IDBDatabase | null} */
let store = null
/** @type {Map<string, any>} */
let held = new Map()

/** Settled once what is kept has been read; whatever is typed before that waits for it. */
export const ready = readTablet()

/** @param {string} name @returns {string | null} */
export function meta(name) {
  return document.querySelector(`meta[name="${name}"]`)?.getAttribute('content') ?? null
}

/** Reads all that is kept; also what another page has kept or sent meanwhile. */
export async function readTablet() {
  try {
    store ??= await open()
    const kept = store.transaction('kept').objectStore('kept')
    const [names, values] = await Promise.all([answer(kept.getAllKeys()), answer(kept.getAll())])
    held = new Map(names.map((name, at) => [String(name), values[at]]))
  } catch {}
}

/** @param {string} name @param {unknown} value @returns {Promise<boolean>} false when the tablet did not keep it */
export async function keep(name, value) {
  await ready
  held.set(name, value)
  return change(kept => kept.put(value, name))
}

/** @param {string} name @returns {any} undefined when nothing is kept under the name */
export const recall = name => held.get(name)

/** @param {string} name @returns {Promise<boolean>} */
export async function forget(name) {
  await ready
  held.delete(name)
  return change(kept => kept.delete(name))
}

/** @param {string} prefix @returns {string[]} */
export const namesFrom = prefix => [...held.keys()].filter(name => name.startsWith(prefix))

/** @returns {Promise<IDBDatabase>} */
function open() {
  const request = indexedDB.open('fourfoot', 1)
  request.onupgradeneeded = () => request.result.createObjectStore('kept')
  return answer(request)
}

/** @template T @param {IDBRequest<T>} request @returns {Promise<T>} */
function answer(request) {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result)
    request.onerror = () => reject(request.error)
  })
}

/** @param {(kept: IDBObjectStore) => void} make @returns {Promise<boolean>} */
function change(make) {
  return new Promise(resolve => {
    try {
      if (!store) return resolve(false)
      const write = store.transaction('kept', 'readwrite', { durability: 'strict' })
      write.oncomplete = () => resolve(true)
      write.onabort = () => resolve(false)
      make(write.objectStore('kept'))
      // Without waiting for this page, which may be on its way out.
      write.commit()
    } catch {
      resolve(false)
    }
  })
}
