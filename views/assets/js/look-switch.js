// Day, night or as the tablet, changed on the page itself so that nothing flashes.

const words = { day: 'Day look', night: 'Night look' }

export function startLookSwitch() {
  for (const form of document.querySelectorAll('[data-look-switch]')) {
    form.addEventListener('submit', event => {
      const button = /** @type {SubmitEvent} */ (event).submitter
      if (!(button instanceof HTMLButtonElement)) return
      event.preventDefault()
      wear(button.value)
    })
  }
}

/** @param {string} look 'day', 'night' or 'auto' */
function wear(look) {
  const root = document.documentElement
  root.dataset.look = look
  // biome-ignore lint/suspicious/noDocumentCookie: the Cookie Store is not in every tablet's browser
  document.cookie = `look=${look}; path=/; max-age=31536000; samesite=lax`
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
