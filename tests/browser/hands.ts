import { setTimeout as sleep } from 'node:timers/promises'
import type { Locator, Page } from 'playwright-core'
import { people, pin, token } from '../support/site.ts'

/** How a page is worked: with a finger, or with the keyboard alone. */
export type Way = 'touch' | 'keyboard'

/** What a technician does with the pages, by what they read on them. */
export interface Hands {
  /** The page in hand; another one after an interruption. */
  page: Page
  /** Called before each button that sends something. */
  beforeSending: (() => Promise<void>) | null
  signIn(who: keyof typeof people): Promise<void>
  tile(words: string): Promise<void>
  tap(words: string): Promise<void>
  fill(label: string, text: string): Promise<void>
  sees(words: string): Promise<void>
  /** Types a reading: on the keypad where there is one, else into the plain field. */
  reading(text: string): Promise<void>
}

export function handsOn(page: Page, address: string, way: Way = 'touch'): Hands {
  const act = way === 'touch' ? byTouch() : byKeyboard()
  const hands: Hands = {
    page,
    beforeSending: null,
    async signIn(who) {
      const { page } = hands
      // The depot's own tablet, as an engineer's enrolling leaves it.
      await page.context().addCookies([{ name: 'tablet', value: encodeURIComponent(token), url: address }])
      await page.goto(`${address}/sign-in`)
      await page.getByLabel('Name').selectOption(people[who].name)
      await act.fill(page, page.getByLabel('PIN'), pin)
      await act.press(page, page.locator('main').getByRole('button', { name: 'Sign in' }))
      await page.waitForURL(url => url.pathname !== '/sign-in')
    },
    async tile(words) {
      const tile = hands.page.locator('label.tile', { hasText: words }).first()
      await act.tick(hands.page, tile)
    },
    async tap(words) {
      const target = named(hands.page, words)
      await target.waitFor()
      const sends = await target.evaluate(
        one => one instanceof HTMLButtonElement && one.form?.method === 'post',
      )
      if (sends) await hands.beforeSending?.()
      await leaving(hands.page, () => act.press(hands.page, named(hands.page, words)))
    },
    fill: (label, text) => act.fill(hands.page, hands.page.getByLabel(label), text),
    sees: words => hands.page.locator('body', { hasText: words }).waitFor(),
    reading: text => act.reading(hands.page, text),
  }
  return hands
}

/** A button or link of the page itself, by its words. */
function named(page: Page, words: string): Locator {
  const main = page.locator('main')
  return main
    .getByRole('button', { name: words })
    .or(main.getByRole('link', { name: words }))
    .first()
}

interface Acts {
  press(page: Page, target: Locator): Promise<void>
  tick(page: Page, tile: Locator): Promise<void>
  fill(page: Page, field: Locator, text: string): Promise<void>
  reading(page: Page, text: string): Promise<void>
}

function byTouch(): Acts {
  return {
    press: (_page, target) => target.tap(),
    async tick(_page, tile) {
      await tile.tap()
      await until(() => tile.locator('input').isChecked())
    },
    fill: (_page, field, text) => field.fill(text),
    async reading(page, text) {
      const keypad = page.locator('.keypad')
      if (!(await keypad.isVisible())) return page.locator('.reading-input').fill(text)
      const field = page.locator('.reading-input')
      await field.fill('')
      for (const one of text) await keypad.locator(`[data-key="${one}"]`).tap()
      await until(async () => (await field.inputValue()) === text)
    },
  }
}

function byKeyboard(): Acts {
  const type = async (page: Page, field: Locator, text: string) => {
    await reach(page, field)
    await page.keyboard.press('ControlOrMeta+a')
    await page.keyboard.type(text)
  }
  return {
    async press(page, target) {
      await reach(page, target)
      await page.keyboard.press('Enter')
    },
    async tick(page, tile) {
      const input = tile.locator('input')
      await reach(page, input)
      if (!(await input.isChecked())) await page.keyboard.press('Space')
    },
    fill: type,
    reading: (page, text) => type(page, page.locator('.reading-input'), text),
  }
}

/** Tab by Tab, and among radio buttons with the arrows, as they are one stop; fails when it is not on the way. */
async function reach(page: Page, target: Locator): Promise<void> {
  const wanted = await target.elementHandle()
  if (!wanted) throw new Error('There is nothing there to reach.')
  for (let stop = 0; stop < 150; stop += 1) {
    const where = await wanted.evaluate(one => {
      const active = document.activeElement
      if (active === one) return 'there'
      const both = active instanceof HTMLInputElement && one instanceof HTMLInputElement
      return both && active.type === 'radio' && active.name === one.name ? 'beside' : 'elsewhere'
    })
    if (where === 'there') return
    await page.keyboard.press(where === 'beside' ? 'ArrowDown' : 'Tab')
  }
  throw new Error(`The keyboard does not reach ${await target.evaluate(one => one.outerHTML.slice(0, 200))}`)
}

/** Waits until it holds; throws when it never does. Without the test runner, so that benches have the same hands. */
async function until(holds: () => Promise<boolean>): Promise<void> {
  for (let turn = 0; turn < 500; turn += 1) {
    if (await holds()) return
    await sleep(20)
  }
  throw new Error('What was waited for never came.')
}

/** Acts, and waits until the page that follows has come. */
async function leaving(page: Page, act: () => Promise<void>): Promise<void> {
  const came = page.waitForEvent('domcontentloaded')
  await act()
  await came
  await page.waitForLoadState()
}
