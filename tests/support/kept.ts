import type { Page } from 'playwright-core'
import { expect } from 'vitest'

/** Waits until the tablet's own store holds what stands in the page's fields, so that the page may go. */
export function keptOnTablet(page: Page): Promise<void> {
  return expect.poll(() => page.evaluate(notKept), { message: `kept of ${page.url()}` }).toEqual([])
}

/** Waits until the tablet has forgotten all that was typed. */
export function forgottenOnTablet(page: Page): Promise<void> {
  return expect.poll(() => page.evaluate(draftsKept)).toEqual([])
}

/** Runs in the page: forms whose fields the store does not hold as they stand. */
async function notKept(): Promise<string[]> {
  const forms = [...document.forms].filter(form => form.dataset.keep)
  if (forms.length === 0) return []
  // Set by the script once it has asked for the store; an earlier asking of ours would make it empty.
  if (document.querySelector('[data-state-saved] b')?.textContent === 'only when sent')
    return ['no script yet']
  const request = indexedDB.open('fourfoot', 1)
  const store = await new Promise<IDBDatabase>((resolve, reject) => {
    request.onsuccess = () => resolve(request.result)
    request.onerror = () => reject(request.error)
  })
  const person = document.querySelector('meta[name=person]')?.getAttribute('content') ?? 'nobody'
  const never = ['hidden', 'password', 'file', 'submit', 'button']
  const wrong: string[] = []
  for (const form of forms) {
    const read = store.transaction('kept').objectStore('kept').get(`draft:${person}:${form.dataset.keep}`)
    await new Promise(resolve => read.addEventListener('success', resolve))
    const fields = ([...form.elements] as HTMLInputElement[]).filter(
      field => field.name && field.localName !== 'button' && !never.includes(field.type),
    )
    const isChoice = (field: HTMLInputElement) => ['radio', 'checkbox'].includes(field.type)
    const isAsSent = (field: HTMLInputElement) => {
      if (isChoice(field)) return field.checked === field.defaultChecked
      if (field.localName !== 'select') return field.value === field.defaultValue
      const { options } = field as unknown as HTMLSelectElement
      const chosen = [...options].find(option => option.defaultSelected) ?? options[0]
      return field.value === (chosen?.value ?? '')
    }
    const stand = fields
      .filter(field => !isChoice(field) || field.checked)
      .map(field => [field.name, field.value])
    const draft: { fields: string[][] } | undefined = read.result
    const holds = draft ? JSON.stringify(draft.fields) === JSON.stringify(stand) : fields.every(isAsSent)
    if (!holds) wrong.push(`${form.dataset.keep}: ${JSON.stringify([draft?.fields, stand])}`)
  }
  store.close()
  return wrong
}

/** Runs in the page: names of what was typed and is still held. */
async function draftsKept(): Promise<string[]> {
  const request = indexedDB.open('fourfoot', 1)
  const store = await new Promise<IDBDatabase>((resolve, reject) => {
    request.onsuccess = () => resolve(request.result)
    request.onerror = () => reject(request.error)
  })
  const read = store.transaction('kept').objectStore('kept').getAllKeys()
  await new Promise(resolve => read.addEventListener('success', resolve))
  store.close()
  return read.result.map(String).filter(name => name.startsWith('draft:'))
}
