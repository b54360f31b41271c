// The faces browser tests are drawn with: only those of a development dependency, whatever the machine has.

import { mkdtempSync, writeFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { tmpdir } from 'node:os'
import path from 'node:path'

const folder = path.join(
  path.dirname(createRequire(import.meta.url).resolve('dejavu-fonts-ttf/package.json')),
  'ttf',
)

/** Generic family, as fontconfig and Chromium's own settings name it → the face that is drawn for it. */
const faces: Record<string, string> = {
  serif: 'DejaVu Serif Condensed',
  'Times New Roman': 'DejaVu Serif Condensed',
  'sans-serif': 'DejaVu Sans Condensed',
  Arial: 'DejaVu Sans Condensed',
  monospace: 'DejaVu Sans Mono',
}

/** Every face a page may be drawn with, as the browser names them; the last ones have what the first two lack. */
export const drawnFaces = [...new Set(Object.values(faces)), 'DejaVu Sans', 'DejaVu Math TeX Gyre']

let file: string | null = null

/**
 * The environment in which fontconfig, and so the browser, finds no other fonts. A family that a style sheet names
 * before the generic one is not there, and is passed over.
 */
export function fontsOnly(): { FONTCONFIG_FILE: string } {
  if (!file) {
    const made = mkdtempSync(path.join(tmpdir(), 'fourfoot-fonts-'))
    file = path.join(made, 'fonts.conf')
    writeFileSync(file, configuration(path.join(made, 'cache')))
  }
  return { FONTCONFIG_FILE: file }
}

function configuration(cache: string): string {
  const aliases = Object.entries(faces).map(
    ([family, face]) => `<match target="pattern">
  <test name="family" qual="any"><string>${family}</string></test>
  <edit name="family" mode="assign" binding="same"><string>${face}</string></edit>
</match>`,
  )
  return `<?xml version="1.0"?>
<!DOCTYPE fontconfig SYSTEM "fonts.dtd">
<fontconfig>
<dir>${folder}</dir>
<cachedir>${cache}</cachedir>
${aliases.join('\n')}
<match target="font">
  <edit name="antialias" mode="assign"><bool>true</bool></edit>
  <edit name="hinting" mode="assign"><bool>false</bool></edit>
  <edit name="rgba" mode="assign"><const>none</const></edit>
</match>
</fontconfig>
`
}
