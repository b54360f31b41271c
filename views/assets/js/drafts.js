// Every field of <form data-keep="key"> is kept on the tablet at each keystroke, and put back when the page opens.

import { say, sayTrouble, timeOf } from './state-line.js'
import { forget, keep, meta, namesFrom, person, ready, recall } from './tablet.js'

/** @typedef {{ id: string | null, at: number, fields: [string, string][] }} Draft */

const prefix = `draft:${person}:`
/** A half-typed form is forgotten after a month. */
const longestMs = 30 * 24 * 3600_000
/** Older than this: the tablet's clock stood wrong. */
const oldestMs = 12 * longestMs

export async function startDrafts() {
  const forms = [...document.forms].filter(form => form.dataset.keep)
  for (const form of forms)
    for (const kind of ['input', 'change']) form.addEventListener(kind, () => save(form))
  say('saved', 'nothing yet')
  await ready
  forgetOld()
  for (const id of (meta('kept') ?? '').split(' ')) forgetDraft(id)
  for (const form of forms) putBack(form, recall(nameOf(form)))
}

/** @param {string} id of a write the server has confirmed */
export function forgetDraft(id) {
  if (!id) return
  for (const name of namesFrom(prefix)) if (recall(name)?.id === id) forget(name)
}

/** Whoever typed it. What waits to be sent is no draft, and stays. */
function forgetOld() {
  for (const name of namesFrom('draft:')) {
    const age = Date.now() - recall(name)?.at
    if (age > longestMs && age < oldestMs) forget(name)
  }
}

/** The client-made id of the form's write. @param {HTMLFormElement} form @returns {string | null} */
export function writeId(form) {
  const field = form.elements.namedItem('id')
  return field instanceof HTMLInputElement ? field.value : null
}

/** @param {HTMLFormElement} form */
const nameOf = form => prefix + form.dataset.keep

/** @param {HTMLFormElement} form */
async function save(form) {
  await ready
  const draft = { id: writeId(form), at: Date.now(), fields: typedIn(form) }
  if (await keep(nameOf(form), draft)) {
    say('saved', timeOf(draft.at))
    navigator.storage?.persist?.()
  } else {
    say('saved', 'not kept')
    sayTrouble('This tablet has no room to keep what you type. Send it before you leave the page.')
  }
}

/** @param {HTMLFormElement} form @param {Draft | undefined} draft */
function putBack(form, draft) {
  if (!draft) return
  const id = form.elements.namedItem('id')
  // The same write id again: if the first sending did arrive, the second is harmless.
  if (id instanceof HTMLInputElement && draft.id) id.value = draft.id
  for (const field of fieldsOf(form)) {
    const values = draft.fields.filter(([name]) => name === field.name).map(([, value]) => value)
    if (isChoice(field)) field.checked = values.includes(field.value)
    else if (values[0] !== undefined && !isTyped(field)) field.value = values[0]
  }
  say('saved', timeOf(draft.at))
}

/** Typed already, before the script came to it. @param {HTMLInputElement | HTMLTextAreaElement | HTMLSelectElement} field */
const isTyped = field => 'defaultValue' in field && field.value !== field.defaultValue

/** @param {HTMLFormElement} form @returns {[string, string][]} */
function typedIn(form) {
  return fieldsOf(form)
    .filter(field => !isChoice(field) || field.checked)
    .map(field => [field.name, field.value])
}

/** @param {HTMLFormElement} form @returns {(HTMLInputElement | HTMLTextAreaElement | HTMLSelectElement)[]} */
function fieldsOf(form) {
  const never = ['hidden', 'password', 'file', 'submit', 'button']
  return /** @type {any[]} */ ([...form.elements]).filter(
    field => field.name && 'value' in field && field.localName !== 'button' && !never.includes(field.type),
  )
}

/** @param {HTMLInputElement | HTMLTextAreaElement | HTMLSelectElement} field @returns {field is HTMLInputElement} */
function isChoice(field) {
  return field.type === 'radio' || field.type === 'checkbox'
}
