import { describe, expect, it } from 'vitest'
import { compile } from '../../../server/knowledge/compile.ts'
import { compareKnowledge } from '../../../server/knowledge/editions/compare.ts'
import { lineDiff } from '../../../server/knowledge/editions/line-diff.ts'
import { namesToUse, nearMisses, offeredCautions } from '../../../server/knowledge/wording.ts'
import { pictureOf } from '../../../server/web/author/trees/tree-picture.ts'
import { guideFolder } from '../../knowledge/folder.ts'
import { mutated, seeded } from '../../knowledge/generated.ts'

// Whatever is typed, the page beside it is drawn: no crash, nothing that a browser would run. How long it takes is a
// figure of the bench.

describe('a spoilt file', () => {
  it('is drawn, compared and helped with, or left out, and harms nothing', () => {
    const random = seeded(20_261_125)
    const sound = compile(guideFolder).knowledge
    if (!sound) throw new Error('the guide is not sound')
    let pictures = 0
    for (let turn = 0; turn < 400; turn++) {
      const files = guideFolder.map(file => ({
        ...file,
        text: random() < 0.7 ? mutated(file.text, random) : file.text,
      }))
      const { knowledge } = compile(files, { lenient: true })
      if (!knowledge) continue
      compareKnowledge(sound, knowledge)
      nearMisses(knowledge)
      lineDiff(guideFolder[0]?.text ?? '', files[0]?.text ?? '')
      for (const tree of knowledge.trees.values()) {
        const picture = pictureOf(knowledge, tree)
        const kit = knowledge.equipment.get(tree.equipment)
        if (kit) {
          const names = namesToUse(kit, tree).flatMap(group => group.names)
          expect(names.some(name => kit.terminals.some(one => one.sealed && one.name === name.insert))).toBe(
            false,
          )
          for (const one of offeredCautions(knowledge, kit, tree)) expect(one.offers.join('')).toMatch(/^> /)
        }
        if (!picture) continue
        pictures += 1
        expect(picture.svg).not.toMatch(/<script|<img|<iframe|\son\w+="|style=|href="(?![#/])|NaN|Infinity/)
      }
    }
    expect(pictures).toBeGreaterThan(200)
  })
})
