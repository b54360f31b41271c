import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { compile } from '../../server/knowledge/compile.ts'
import { gapsOf } from '../../server/knowledge/coverage.ts'
import { isKnowledgePath, readBundle, writeBundle } from '../../server/knowledge/editions/bundle.ts'
import { compareKnowledge } from '../../server/knowledge/editions/compare.ts'
import { lineDiff, shortened } from '../../server/knowledge/editions/line-diff.ts'
import { mergeFolders } from '../../server/knowledge/editions/merge-folders.ts'
import type { Knowledge } from '../../server/knowledge/types.ts'
import { namesToUse, nearMisses, offeredCautions } from '../../server/knowledge/wording.ts'
import { processorTime } from '../support/processor-time.ts'
import { changed, guideFolder } from './folder.ts'

const tree = 'trees/small-output-dead.md'
const kit = 'equipment/small-transmitter.md'

/** The guide's folder, changed by a diff. */
function knowledge(diff = ''): Knowledge {
  const compiled = compile(changed(guideFolder, diff), { lenient: true })
  if (!compiled.knowledge) throw new Error('nothing could be made of the folder')
  return compiled.knowledge
}
const diffOf = (path: string, lines: string) => `\`\`\`diff ${path}\n${lines}\n\`\`\`\n`
const told = (diff: string) =>
  compareKnowledge(knowledge(), knowledge(diff)).map(({ where, what, kind, touches }) => [
    where,
    what,
    kind,
    touches,
  ])

describe('two editions', () => {
  it('that say the same have no changes, however they are written', () => {
    expect(told('')).toEqual([])
    expect(
      told(
        diffOf(
          tree,
          '- - Takes: 2 min\n- - Access: open the case\n+ - Access: open the case\n+ - Takes: 2 min',
        ),
      ),
    ).toEqual([])
  })

  it('are told apart check by check and row by row', () => {
    expect(told(diffOf(tree, '- - Takes: 2 min\n+ - Takes: 4 min'))).toEqual([
      ['Supply', 'Takes', 'changed', 'time'],
    ])
    const row = '- | none | Nothing arrives. | [Fuse](#fuse) |\n+ | none | Nothing arrives. | [Loop](#loop) |'
    expect(told(diffOf(tree, row))).toEqual([['Supply', 'Row “none” leads to', 'changed', 'way']])
    const caution = '- > **Caution** S1 and S2 are live at 110 V AC.\n+ > **Caution** S1 is live at 110 V AC.'
    expect(told(diffOf(tree, caution)).map(([, , kind, touches]) => [kind, touches])).toEqual([
      ['removed', 'caution'],
      ['added', 'caution'],
    ])
    const limit =
      '- | supply voltage | 99 to 121 | V AC | Demo value |\n+ | supply voltage | 95 to 121 | V AC | Demo value |'
    expect(told(diffOf(kit, limit))).toEqual([['supply voltage', 'Limit', 'changed', 'range']])
  })

  it('tell a new check once, and not by all its parts', () => {
    const check =
      '- ## Ask the control room\n+ ## Lamp\n+ \n+ Look at the lamp.\n+ \n+ - Observe: the lamp\n+ \n+ | Finding | Means | Next |\n+ | --- | --- | --- |\n+ | lit | Good. | [Loop](#loop) |\n+ \n+ ## Ask the control room'
    expect(told(diffOf(tree, check))).toEqual([['Lamp', 'Check', 'added', 'way']])
  })

  it('the other way round say what went for what came', () => {
    const after = knowledge(diffOf(tree, '- - Takes: 2 min\n+ - Takes: 4 min'))
    const [forth] = compareKnowledge(knowledge(), after)
    const [back] = compareKnowledge(after, knowledge())
    expect([forth?.before, forth?.after]).toEqual([back?.after, back?.before])
  })
})

const texts = fc
  .array(fc.constantFrom('a', 'b', 'c', '', '## a'), { maxLength: 25 })
  .map(lines => lines.join('\n'))

describe('two texts', () => {
  it('can both be read off their difference', () => {
    fc.assert(
      fc.property(texts, texts, (before, after) => {
        const lines = lineDiff(before, after)
        const side = (kind: 'before' | 'after') =>
          lines.filter(line => line.kind === 'both' || line.kind === kind).map(line => line.text)
        expect(side('before').join('\n')).toBe(before)
        expect(side('after').join('\n')).toBe(after)
      }),
      { seed: 1 },
    )
  })

  it('that are alike differ in nothing, and shorten to nothing', () => {
    fc.assert(
      fc.property(texts, text => {
        expect(lineDiff(text, text).every(line => line.kind === 'both')).toBe(true)
        expect(shortened(lineDiff(text, text)).filter(Boolean)).toEqual([])
      }),
      { seed: 2 },
    )
  })

  it('as large as a file may be are told apart in a moment', async () => {
    const large = (word: string) => Array.from({ length: 60_000 }, (_, n) => `${word} ${n}`).join('\n')
    const spent = await processorTime(() => expect(lineDiff(large('a'), large('b'))).toHaveLength(120_000))
    expect(spent).toBeLessThan(1000)
  })
})

const paths = fc.constantFrom('trees/a.md', 'trees/b.md', 'equipment/c.md')
const folders = fc.dictionary(paths, fc.constantFrom('one\n', 'two\n', 'three\n')).map(files =>
  Object.entries(files)
    .map(([path, text]) => ({ path, text }))
    .sort((a, b) => (a.path < b.path ? -1 : 1)),
)

describe('two folders', () => {
  it('keep what only one of them changed, whichever it is', () => {
    fc.assert(
      fc.property(folders, folders, (base, other) => {
        expect(mergeFolders({ base, ours: base, theirs: other })).toEqual({ files: other, conflicts: [] })
        expect(mergeFolders({ base, ours: other, theirs: base })).toEqual({ files: other, conflicts: [] })
        expect(mergeFolders({ base, ours: other, theirs: other })).toEqual({ files: other, conflicts: [] })
      }),
      { seed: 3 },
    )
  })

  it('have a conflict only where both changed the same file, each in its own way', () => {
    fc.assert(
      fc.property(folders, folders, folders, (base, ours, theirs) => {
        const text = (folder: { path: string; text: string }[], path: string) =>
          folder.find(file => file.path === path)?.text
        for (const path of ['trees/a.md', 'trees/b.md', 'equipment/c.md']) {
          const [was, mine, other] = [text(base, path), text(ours, path), text(theirs, path)]
          const both = mine !== was && other !== was && mine !== other
          expect(mergeFolders({ base, ours, theirs }).conflicts.includes(path)).toBe(both)
        }
      }),
      { seed: 4 },
    )
  })
})

describe('a bundle', () => {
  it('holds the files of a folder and gives them back', () => {
    expect(readBundle(writeBundle(guideFolder))).toEqual({ files: guideFolder, stray: false })
  })

  it('takes no path out of the folder', () => {
    for (const path of [
      '../x.md',
      'trees/../x.md',
      'trees/a/b.md',
      '/trees/a.md',
      'trees/A.md',
      'trees/.md',
      'trees/readme.md',
      'x.md',
    ])
      expect([path, isKnowledgePath(path)]).toEqual([path, false])
    expect(isKnowledgePath('trees/no-drive.md')).toBe(true)
    expect(readBundle('@@@ ../../x.md\nwords').files).toEqual([])
  })
})

describe('help with words', () => {
  it('offers terminals, limits and links of the equipment, and no sealed terminal', () => {
    const { equipment, trees } = knowledge()
    const small = equipment.get('small-transmitter')
    const groups = small ? namesToUse(small, trees.get('small-output-dead') ?? null) : []
    const names = groups.flatMap(group => group.names.map(name => name.insert))
    expect(names).toEqual(expect.arrayContaining(['S1', 'supply voltage', 'open the case', '[Loop](#loop)']))
    expect(names).toContain('[Loop broken](../equipment/small-transmitter.md#loop-broken)')
    expect(names).not.toContain('W1')
  })

  it('offers a caution where live terminals are touched without one', () => {
    const without = knowledge(diffOf(tree, '- > **Caution** S1 and S2 are live at 110 V AC.\n- '))
    const small = without.equipment.get('small-transmitter')
    const dead = without.trees.get('small-output-dead')
    expect(small && dead && offeredCautions(without, small, dead)).toEqual([
      { check: 'Supply', line: 9, offers: ['> **Caution** S1 and S2 are live at 110 V AC.'] },
    ])
  })

  it.each([
    ['loop resistance', 'loop resistence', true],
    ['loop resistance', 'Loop-resistance', true],
    ['loop resistance', 'loop resistances', true],
    ['loop resistance', 'loop reactance', false],
    ['minimum hold', 'maximum hold', false],
    ['clamp for AC', 'clamp for DC', false],
    ['the lamp 1', 'the lamp 2', false],
  ])('“%s” and “%s” are perhaps one thing: %s', (one, other, near) => {
    const named = (name: string) =>
      diffOf(
        tree,
        `- - Measure: loop resistance\n+ - Measure: ${name}\n@@\n- - Measure: supply voltage\n+ - Measure: ${other}`,
      )
    expect(nearMisses(knowledge(named(one))).length > 0).toBe(near)
  })
})

describe('what is left out', () => {
  it('is a cause no walk comes to, a kind without a tree, a symptom without an answer', () => {
    const whole = gapsOf(knowledge(), [])
    expect(whole).toEqual({ unreached: [], withoutTree: [], unanswered: [], withoutSource: [] })
    const cut = knowledge(
      diffOf(
        tree,
        '- | otherwise | The loop is damaged. | [Loop broken](../equipment/small-transmitter.md#loop-broken) |\n+ | otherwise | The loop is damaged. | [Feeder weak](../equipment/small-transmitter.md#feeder-weak) |',
      ),
    )
    expect(gapsOf(cut, []).unreached.map(one => one.cause.title)).toEqual(['Loop broken'])
    const { equipment } = knowledge()
    expect(gapsOf({ equipment, trees: new Map() }, []).withoutTree.map(one => one.name)).toEqual([
      'Small transmitter',
    ])
    const reported = [
      { symptom: 'telltale dark', equipment: 'small-transmitter', faults: 3 },
      { symptom: 'hums', equipment: 'small-transmitter', faults: 1 },
    ]
    expect(gapsOf(knowledge(), reported).unanswered.map(one => one.symptom)).toEqual(['hums'])
  })
})
