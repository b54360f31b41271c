// The page's own keypad. It writes into the plain field, which works without it.

export function startKeypads() {
  for (const pad of document.querySelectorAll('[data-keypad]')) {
    const field = document.getElementById(pad.getAttribute('data-keypad') ?? '')
    if (field instanceof HTMLInputElement) uncover(/** @type {HTMLElement} */ (pad), field)
  }
}

/**
 * What the field holds after a key. A number stays before its unit; OL stands alone.
 * @param {string} text @param {number} start @param {number} end where the caret or the marked text lies
 * @param {string} key @param {boolean} isUnit
 * @returns {{ text: string, caret: number }}
 */
export function press(text, start, end, key, isUnit) {
  const whole = (/** @type {string} */ all) => ({ text: all, caret: all.length })
  if (key === 'clear') return whole('')
  if (key === 'OL') return whole('OL')
  const wasOpen = text === 'OL'
  if (key === 'backspace' && wasOpen) return whole('')
  const before = wasOpen ? '' : text
  const number = before.replace(/\s*[^\d.,+\-\s]+\s*$/u, '')
  if (isUnit) return whole(`${number} ${key}`.trim())
  if (key === '-') return whole(before.startsWith('-') ? before.slice(1) : `-${before}`)
  const from = Math.min(start, before.length)
  const to = Math.min(end, before.length)
  if (key === 'backspace') return splice(before, from === to ? Math.max(0, from - 1) : from, to, '')
  const place = from === to && from > number.length ? number.length : from
  return splice(before, place, Math.max(place, from === to ? place : to), key)
}

/** @param {string} text @param {number} from @param {number} to @param {string} key */
function splice(text, from, to, key) {
  return { text: text.slice(0, from) + key + text.slice(to), caret: from + key.length }
}

/** @param {HTMLElement} pad @param {HTMLInputElement} field */
function uncover(pad, field) {
  pad.removeAttribute('data-covered')
  if (matchMedia('(pointer: coarse)').matches) field.inputMode = 'none'
  // Keeps the caret in the field while keys are tapped.
  pad.addEventListener('mousedown', event => event.preventDefault())
  pad.addEventListener('click', event => {
    const key = event.target instanceof Element ? event.target.closest('button') : null
    if (key?.dataset.key) write(field, key.dataset.key, 'unit' in key.dataset)
    else if (key) bringTabletKeyboard(key, field)
  })
}

/** @param {HTMLInputElement} field @param {string} key @param {boolean} isUnit */
function write(field, key, isUnit) {
  const end = field.value.length
  const after = press(field.value, field.selectionStart ?? end, field.selectionEnd ?? end, key, isUnit)
  field.value = after.text
  field.setSelectionRange(after.caret, after.caret)
  field.dispatchEvent(new Event('input', { bubbles: true }))
}

/** @param {HTMLElement} key @param {HTMLInputElement} field */
function bringTabletKeyboard(key, field) {
  const wanted = key.getAttribute('aria-pressed') !== 'true'
  key.setAttribute('aria-pressed', String(wanted))
  field.inputMode = wanted ? 'text' : 'none'
  field.blur()
  field.focus()
}
