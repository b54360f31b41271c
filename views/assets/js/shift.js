// A shift without signal: begun on the page “Ready for a shift”; on pages that the tablet draws, the worker is only asked to
// send what waits.

const everyMs = 30_000
const address = '/tablet-worker.js'

startShift()

async function startShift() {
  const place = document.querySelector('[data-shift]')
  const worker = await registered()
  if (worker) setInterval(() => tell('send'), everyMs)
  if (worker) window.addEventListener('online', () => tell('send'))
  navigator.serviceWorker?.addEventListener('message', ({ data }) => told(data))
  if (place instanceof HTMLElement) show(place, worker !== null)
  const save = document.querySelector('[data-shift-save]')
  if (worker && save instanceof HTMLElement) {
    save.hidden = false
    save.addEventListener('click', saveCopy)
  }
}

/** All that waits as a file: an engineer can bring it in at the depot. */
async function saveCopy() {
  const state = await tell('copy')
  if (!state) return
  const savedAt = new Date().toISOString()
  const text = JSON.stringify({ fourfoot: 'not sent', savedAt, acts: state.acts }, null, 2)
  const link = document.createElement('a')
  link.href = URL.createObjectURL(new Blob([text], { type: 'application/json' }))
  link.download = `not-sent-${savedAt.slice(0, 16).replace(':', '')}.json`
  link.click()
  URL.revokeObjectURL(link.href)
}

/** The worker has sent something. @param {{ unsent: number }} state */
function told({ unsent }) {
  for (const count of document.querySelectorAll('[data-tablet-unsent]')) count.textContent = String(unsent)
}

/** @returns {Promise<ServiceWorkerRegistration | null>} */
async function registered() {
  if (!window.isSecureContext || !('serviceWorker' in navigator)) return null
  return (await navigator.serviceWorker.getRegistration('/').catch(() => undefined)) ?? null
}

/**
 * @typedef {{ carrying: boolean, person: string | null, madeAt: string | null, unsent: number, trouble: string | null, acts?: unknown[] }} State
 * @param {string} words @returns {Promise<State | null>} null when no worker is there
 */
async function tell(words) {
  const worker = (await navigator.serviceWorker.ready).active
  if (!worker) return null
  const { port1, port2 } = new MessageChannel()
  const answered = new Promise(resolve => {
    port1.onmessage = event => resolve(event.data)
  })
  worker.postMessage(words, [port2])
  return answered
}

/** @param {HTMLElement} place @param {boolean} begun */
async function show(place, begun) {
  /** @param {string} name */
  const button = name => /** @type {HTMLButtonElement} */ (place.querySelector(`[data-shift-${name}]`))
  if (!window.isSecureContext || !('serviceWorker' in navigator))
    return say(
      place,
      'Nothing will work without signal here: this page did not come over https that the tablet trusts, or the window is private.',
    )
  button('carry').hidden = false
  button('carry').addEventListener('click', () => change(place, 'carry'))
  button('drop').addEventListener('click', () => change(place, 'drop'))
  fill(place, begun ? await tell('state') : null)
  const room = await navigator.storage?.estimate()
  if (room?.quota) text(place, 'room', `${((room.quota - (room.usage ?? 0)) / 1e9).toFixed(1)} GB free`)
}

/** @param {HTMLElement} place @param {'carry' | 'drop'} what */
async function change(place, what) {
  say(place, what === 'carry' ? 'Taking the depot along …' : 'Putting it down …')
  if (what === 'carry') {
    await navigator.serviceWorker.register(address)
    await navigator.storage?.persist?.()
  }
  fill(place, await tell(what))
}

/** @param {HTMLElement} place @param {State | null} state */
function fill(place, state) {
  const drop = place.querySelector('[data-shift-drop]')
  if (drop instanceof HTMLElement) drop.hidden = !state?.carrying
  text(place, 'unsent', String(state?.unsent ?? 0))
  const made = state?.madeAt ? new Date(state.madeAt).toLocaleString('en-GB') : ''
  text(place, 'held', state?.carrying ? `whole, for ${state.person}, of ${made}` : 'none')
  say(
    place,
    state?.trouble ??
      (state?.carrying
        ? 'Ready: this tablet works without signal.'
        : 'This tablet carries nothing. Without signal nothing would work.'),
  )
}

/** @param {HTMLElement} place @param {string} words */
const say = (place, words) => text(place, 'words', words)

/** @param {HTMLElement} place @param {string} name @param {string} words */
function text(place, name, words) {
  const line = place.querySelector(`[data-shift-${name}]`)
  if (line) line.textContent = words
}
