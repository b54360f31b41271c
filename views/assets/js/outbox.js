// Writes wait here until the server has acknowledged them; only an acknowledgement counts as sent.

import { forgetDraft, writeId } from './drafts.js'
import { answerTap, endBusy } from './guard.js'
import { say, sayTrouble, timeOf } from './state-line.js'
import { forget, keep, meta, person, readTablet, ready, recall } from './tablet.js'
import { isLate, prefix, saveCopy, waiting } from './waiting.js'

/**
 * @typedef {import('./waiting.js').Write} Write
 * @typedef {{ kept: true, next: string, waits: boolean } | { kept: false, answered: boolean, busy?: boolean }} Answer
 */

const patienceMs = 8000
const everyMs = 30_000
let sending = false

export async function startOutbox() {
  document.addEventListener('submit', takeOver)
  document.querySelector('[data-send-now]')?.addEventListener('click', sendWaiting)
  document.querySelector('[data-save-copy]')?.addEventListener('click', saveCopy)
  window.addEventListener('online', sendWaiting)
  setInterval(tick, everyMs)
  await ready
  for (const id of (meta('kept') ?? '').split(' ')) if (id) acknowledged(id)
  sendWaiting()
}

const tick = () => sendWaiting(true)

/** @param {SubmitEvent} event */
function takeOver(event) {
  const form = /** @type {HTMLFormElement} */ (event.target)
  if (event.defaultPrevented) return
  if ('signOut' in form.dataset) return holdSignOut(event)
  // A page on the way to a write is no write yet.
  if ('plain' in form.dataset) return
  if (
    !('keep' in form.dataset) ||
    !writeId(form) ||
    form.method !== 'post' ||
    form.enctype.startsWith('multipart')
  )
    return
  event.preventDefault()
  answerTap(form, event.submitter)
  const id = idForWords(form, event.submitter)
  const body = bodyOf(form, event.submitter)
  const write = { id, action: actionOf(form), body, at: Date.now(), page: location.href, refused: false }
  sendOne(form, event.submitter, write, holdsSecret(form) ? 'secret' : keep(prefix + id, write))
}

/**
 * The id of the form's write; a new one once other words are typed after a send. @param {HTMLFormElement} form @param {HTMLElement | null} button @returns {string}
 */
function idForWords(form, button) {
  const id = writeId(form) ?? ''
  const sent = recall(prefix + id)
  if (!sent || sent.body === bodyOf(form, button)) return id
  const made = newId()
  for (const field of form.elements)
    if (field instanceof HTMLInputElement && field.name === 'id') field.value = made
  return made
}

/** @param {HTMLFormElement} form @param {HTMLElement | null} button @returns {string} */
function bodyOf(form, button) {
  return new URLSearchParams(/** @type {any} */ (new FormData(form, button))).toString()
}

/** A random UUID (version 4 of RFC 9562): over plain http there is no `crypto.randomUUID`. */
function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16))
  bytes[6] = ((bytes[6] ?? 0) & 0x0f) | 0x40
  bytes[8] = ((bytes[8] ?? 0) & 0x3f) | 0x80
  const digits = [...bytes].map(byte => byte.toString(16).padStart(2, '0')).join('')
  return digits.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, '$1-$2-$3-$4-$5')
}

/** A PIN is never kept on a tablet, not even until it can be sent. @param {HTMLFormElement} form @returns {boolean} */
function holdsSecret(form) {
  const fields = /** @type {NodeListOf<HTMLInputElement>} */ (form.querySelectorAll('input[type="password"]'))
  return [...fields].some(field => field.value !== '')
}

/** @param {HTMLFormElement} form @param {HTMLElement | null} button @param {Write} write @param {Promise<boolean> | 'secret'} kept */
async function sendOne(form, button, write, kept) {
  const answer = await post(write)
  if (answer.kept) {
    acknowledged(write.id, answer.waits)
    location.assign(answer.next)
  } else if (answer.answered) {
    // An error, a question or a sign-in on its own page.
    forget(prefix + write.id)
    submitPlainly(form, button)
  } else {
    endBusy()
    tell()
    const why = answer.busy ? 'The server can’t record just now.' : 'No answer from the server.'
    sayTrouble(`${why} ${unsentWords[String(await kept)]}`)
  }
}

/** @type {Record<string, string>} by what became of it */
const unsentWords = {
  true: 'It is kept on this tablet and will be sent again by itself.',
  false: 'This tablet has no room to keep it. Leave this page open, and save a copy.',
  secret: 'A PIN is never kept on a tablet: leave this page open, and send it again.',
}

/** Sends what waits, in order, until there is no answer; what was refused is tried once a page. @param {unknown} [again] */
async function sendWaiting(again) {
  if (sending) return
  sending = true
  await readTablet()
  tell()
  for (const write of waiting()) {
    if (write.refused && again) continue
    const answer = await post(write)
    if (answer.kept) {
      acknowledged(write.id, answer.waits)
      if (location.href === write.page) location.assign(answer.next)
    } else if (answer.answered) keep(prefix + write.id, { ...write, refused: true })
    else break
  }
  sending = false
  tell()
}

/** @param {Write} write @returns {Promise<Answer>} */
async function post(write) {
  try {
    const reply = await fetch(write.action, {
      method: 'POST',
      body: new URLSearchParams(write.body),
      headers: { Accept: 'application/json', 'X-Tablet-Clock': String(Date.now()) },
      redirect: 'manual',
      signal: AbortSignal.timeout(patienceMs),
    })
    const said = reply.ok ? await reply.json().catch(() => null) : null
    if (said?.kept === write.id) return { kept: true, next: said.next, waits: said.waits === true }
    const { status } = reply
    const seconds = Number(reply.headers.get('Retry-After'))
    if (seconds) setTimeout(tick, seconds * 1000)
    return { kept: false, answered: ![408, 429, 502, 503, 504].includes(status), busy: status === 503 }
  } catch {
    return { kept: false, answered: false }
  }
}

/** @param {string} id @param {boolean} [waits] the tablet answers for the server: it is kept there, and not sent yet */
function acknowledged(id, waits = false) {
  forget(prefix + id)
  forgetDraft(id)
  if (!waits) keep(`sent:${person}`, Date.now())
}

function tell() {
  const all = waiting()
  const sentAt = recall(`sent:${person}`)
  if (sentAt) say('sent', timeOf(sentAt))
  say('waiting', all[0] ? `${all.length}, since ${timeOf(all[0].at)}` : '0')
  for (const button of document.querySelectorAll('[data-send-now], [data-save-copy]'))
    if (button instanceof HTMLElement) button.hidden = all.length === 0
  const refused = all.find(write => write.refused)
  if (refused) sayTrouble('The server did not take one entry.', { href: refused.page, text: 'Open it' })
  else if (isLate(all))
    sayTrouble(
      'What you entered has waited for hours. Go where there is signal, or save a copy and hand it in.',
    )
  else if (all.length === 0) sayTrouble('')
}

/** @param {Event} event */
function holdSignOut(event) {
  if (waiting().length === 0) return
  event.preventDefault()
  sayTrouble('Not signed out: something is still waiting to be sent from this tablet.')
}

/** @param {HTMLFormElement} form @param {HTMLElement | null} button */
function submitPlainly(form, button) {
  if (button instanceof HTMLButtonElement && button.name) {
    const chosen = document.createElement('input')
    chosen.type = 'hidden'
    chosen.name = button.name
    chosen.value = button.value
    form.append(chosen)
  }
  HTMLFormElement.prototype.submit.call(form)
}

/** A field called “action” would hide the form's own. @param {HTMLFormElement} form @returns {string} */
function actionOf(form) {
  return new URL(form.getAttribute('action') ?? '', location.href).href
}
