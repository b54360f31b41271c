// The page of a draft: keeps and checks the text at each pause, and goes to the line a problem or a box names.

import { forget, person } from './tablet.js'

const pauseMs = 700
const form = /** @type {HTMLFormElement | null} */ (document.querySelector('form[data-draft]'))
const area = /** @type {HTMLTextAreaElement | null} */ (form?.querySelector('textarea'))
const panel = document.querySelector('[data-draft-panel]')
const state = document.querySelector('[data-draft-state]')

let timer = 0
let sending = false
let changed = false

if (form && area) {
  area.addEventListener('input', later)
  document.addEventListener('click', event => tapped(/** @type {Element} */ (event.target), event))
  addEventListener('beforeunload', event => {
    if (changed || sending) event.preventDefault()
  })
  form.addEventListener('submit', () => {
    clearTimeout(timer)
    changed = false
  })
}

function later() {
  changed = true
  clearTimeout(timer)
  timer = window.setTimeout(keep, pauseMs)
  say('Typing …')
}

/** One at a time: what is typed meanwhile goes with the next. */
async function keep() {
  timer = 0
  if (!form || !area || sending) return
  sending = true
  changed = false
  try {
    const body = new URLSearchParams({
      id: crypto.randomUUID(),
      over: overField().value,
      how: 'pause',
      text: area.value,
    })
    const reply = await fetch(form.action, { method: 'POST', body, headers: { Accept: 'application/json' } })
    if (!reply.ok) throw new Error(String(reply.status))
    take(await reply.json())
  } catch {
    changed = true
    say('Not kept: no answer from the server. It is kept in this browser, and tried again.')
    timer = window.setTimeout(keep, 5000)
  }
  sending = false
  if (changed && !timer) later()
}

/** @param {{ over: string, at: string, aside: string | null, html: string }} answer */
function take(answer) {
  if (!form || !panel) return
  overField().value = answer.over
  forget(`draft:${person}:${form.dataset.keep}`)
  form.dataset.keep = `draft-${answer.over}`
  const open = [...panel.querySelectorAll('details[open] > summary')].map(
    one => one.textContent?.split(' (')[0],
  )
  panel.innerHTML = answer.html
  for (const one of panel.querySelectorAll('details > summary'))
    if (open.includes(one.textContent?.split(' (')[0])) one.parentElement?.setAttribute('open', '')
  say(changed ? 'Typing …' : `Kept at ${answer.at}.`)
  if (answer.aside) sayBeside(answer.aside)
}

/** @param {string} address */
function sayBeside(address) {
  const link = document.createElement('a')
  link.href = address
  link.textContent = 'See both and settle it'
  say('Somebody else keeps a newer text. Yours is kept beside it. ')
  state?.append(link)
}

function overField() {
  return /** @type {HTMLInputElement} */ (form?.elements.namedItem('over'))
}

/** @param {string} words */
function say(words) {
  if (state) state.textContent = words
}

/** @param {Element} target @param {Event} event */
function tapped(target, event) {
  const insert = target.closest('[data-insert]')
  const line = target.closest('[data-to-line], [data-line]')
  if (insert instanceof HTMLElement) put(insert.dataset.insert ?? '', Number(insert.dataset.afterLine))
  else if (line) {
    event.preventDefault()
    goTo(Number(line.getAttribute('data-to-line') ?? line.getAttribute('data-line')))
  }
}

/** @param {number} line from 1 */
function goTo(line) {
  if (!area) return
  const lines = area.value.split('\n')
  const start = lines.slice(0, line - 1).join('\n').length + (line > 1 ? 1 : 0)
  area.focus()
  area.setSelectionRange(start, start + (lines[line - 1]?.length ?? 0))
  const lineHeight = Number.parseFloat(getComputedStyle(area).lineHeight)
  area.scrollTop = Math.max(0, (line - 6) * lineHeight)
  area.scrollLeft = 0
}

/** Words at the caret, or below a line. @param {string} words @param {number} afterLine */
function put(words, afterLine) {
  if (!area) return
  if (afterLine) {
    const end = area.value.split('\n').slice(0, afterLine).join('\n').length
    area.setSelectionRange(end, end)
  }
  area.focus()
  // The old command still is the one way that leaves undo whole.
  if (!document.execCommand('insertText', false, words))
    area.setRangeText(words, area.selectionStart, area.selectionEnd, 'end')
  later()
}

const files = /** @type {HTMLInputElement | null} */ (document.querySelector('[data-import-file]'))
files?.addEventListener('change', async () => {
  const field = /** @type {HTMLTextAreaElement | null} */ (files.form?.elements.namedItem('text'))
  if (!field) return
  const texts = await Promise.all(
    [...(files.files ?? [])].map(async file => ({ name: file.name, text: await file.text() })),
  )
  const added = texts.map(({ name, text }) =>
    text.startsWith('@@@ ') ? text : `@@@ ${pathOf(name, text)}\n${text}`,
  )
  field.value = [field.value, ...added].filter(Boolean).join('\n')
})

/** An equipment file has terminals or causes; a tree has a start. @param {string} name @param {string} text */
function pathOf(name, text) {
  return `${/^- Start:/m.test(text) ? 'trees' : 'equipment'}/${name}`
}
