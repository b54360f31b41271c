// The page's own keypad. It writes into the plain field, which works without it.

export function startKeypads() {
  for (const pad of document.querySelectorAll('[data-keypad]')) {
    const field = document.getElementById(pad.getAttribute('data-keypad') ?? '')
    if (field instanceof HTMLInputElement) uncover(/** @type {HTMLElement} */ (pad), field)
  }
}

/**
 * The field after a key. A number stands before its unit, with one point; OL stands alone.
 * @param {string} text @param {number} start @param {number} end the caret, or the marked text
 * @param {string} key @param {boolean} isUnit
 * @returns {{ text: string, caret: number }}
 */
export function press(text, start, end, key, isUnit) {
  const whole = (/** @type {string} */ text) => ({ text, caret: text.length })
  if (key === 'clear') return whole('')
  if (key === 'OL') return whole(key)
  const before = text === 'OL' ? '' : text
  const head = before.replace(/(.* to |).*/, '$1')
  const last = before.slice(head.length)
  const number = last.replace(/\s*[^\d.,+\-\s]+\s*$/u, '')
  const rub = key === 'backspace'
  if (rub && !last) return whole(before.slice(0, -4))
  if (isUnit) return whole(head + `${number} ${key}`.trim())
  if (key === 'to') return whole(head || !number ? before : `${number} to `)
  if (key === '-') return whole(head + (last[0] === '-' ? last.slice(1) : `-${last}`))
  const from = Math.min(start, before.length)
  const to = Math.min(end, before.length)
  if (rub) return splice(before, from === to ? Math.max(0, from - 1) : from, to, '')
  if (from < to) return splice(before, from, to, key)
  const place = Math.min(from, (head + number).length)
  return splice(before, place, place, key === '.' && number.includes('.') ? '' : key)
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
  field.classList.toggle('long', after.text.length > 8)
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
