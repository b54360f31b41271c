// Day, night or as the tablet, changed on the page itself so that nothing flashes.

const words = { day: 'Day look', night: 'Night look' }

export function startLookSwitch() {
  for (const form of document.querySelectorAll('[data-look-switch]')) {
    form.addEventListener('submit', event => {
      const button = /** @type {SubmitEvent} */ (event).submitter
      if (!(button instanceof HTMLButtonElement)) return
      event.preventDefault()
      keepChoice(/** @type {HTMLFormElement} */ (form), button)
      wear(button.value)
    })
  }
}

/** The server keeps the choice in its cookie. @param {HTMLFormElement} form @param {HTMLButtonElement} button */
function keepChoice(form, button) {
  const body = new URLSearchParams({ look: button.value })
  fetch(form.action, { method: 'POST', body, redirect: 'manual', keepalive: true }).catch(() => {})
}

/** @param {string} look 'day', 'night' or 'auto' */
function wear(look) {
  const root = document.documentElement
  root.dataset.look = look
  const scheme = { day: 'light', night: 'dark' }[look] ?? 'light dark'
  document.querySelector('meta[name="color-scheme"]')?.setAttribute('content', scheme)
  for (const extra of [...document.querySelectorAll('meta[name="theme-color"]')].slice(1)) extra.remove()
  const theme = document.querySelector('meta[name="theme-color"]')
  theme?.removeAttribute('media')
  theme?.setAttribute('content', getComputedStyle(root).backgroundColor)
  for (const button of document.querySelectorAll('[data-look-switch] button')) show(button, look)
}

/** @param {Element} button @param {string} look */
function show(button, look) {
  if (!(button instanceof HTMLButtonElement)) return
  if (button.hasAttribute('aria-pressed')) {
    button.setAttribute('aria-pressed', String(button.value === look))
    return
  }
  const other = look === 'night' ? 'day' : 'night'
  button.value = other
  button.textContent = words[other]
}
