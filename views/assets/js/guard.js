// One tap is one action: a second one on the same form within half a second does nothing.

const pauseMs = 500
/** @type {WeakMap<EventTarget, number>} */
const lastTap = new WeakMap()
/** @type {Map<HTMLElement, string>} */
const busyWords = new Map()

export function startGuard() {
  document.addEventListener('submit', refuseSecondTap, true)
  window.addEventListener('submit', event => {
    if (!event.defaultPrevented) answerTap(/** @type {HTMLFormElement} */ (event.target), event.submitter)
  })
  // A page from the browser's memory still has the busy words.
  window.addEventListener('pageshow', endBusy)
}

/**
 * Answers a tap at once, on the button itself. Buttons stay enabled: a disabled one would drop its value.
 * @param {HTMLFormElement} form @param {HTMLElement | null} button
 */
export function answerTap(form, button) {
  if (!button || busyWords.has(button)) return
  busyWords.set(button, button.textContent ?? '')
  button.setAttribute('aria-busy', 'true')
  if (button.classList.contains('button--quiet')) return
  button.textContent = button.dataset.busy ?? (form.method === 'get' ? 'Looking…' : 'Sending…')
}

export function endBusy() {
  for (const [button, words] of busyWords) {
    button.removeAttribute('aria-busy')
    button.textContent = words
  }
  busyWords.clear()
}

/** @param {Event} event */
function refuseSecondTap(event) {
  const form = event.target
  if (!form) return
  if (event.timeStamp - (lastTap.get(form) ?? -pauseMs) >= pauseMs) {
    lastTap.set(form, event.timeStamp)
    return
  }
  event.preventDefault()
  event.stopImmediatePropagation()
}
