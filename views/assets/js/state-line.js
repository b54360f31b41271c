// The three facts in words: saved on this tablet, sent, waiting.

const clock = new Intl.DateTimeFormat('en-GB', { hour: '2-digit', minute: '2-digit' })

/** @param {number} at milliseconds @returns {string} "02:14" */
export const timeOf = at => clock.format(at)

/** @param {'saved' | 'sent' | 'waiting'} fact @param {string} words */
export function say(fact, words) {
  const place = document.querySelector(`[data-state-${fact}] b`)
  if (place && place.textContent !== words) place.textContent = words
}

/**
 * Says what is wrong, and where to go about it; an empty text takes it back.
 * @param {string} words @param {{ href: string, text: string }} [way]
 */
export function sayTrouble(words, way) {
  const place = document.querySelector('[data-state-trouble]')
  if (!place) return
  place.textContent = words
  if (!way) return
  const link = document.createElement('a')
  link.href = way.href
  link.textContent = way.text
  place.append(' ', link)
}
