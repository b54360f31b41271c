const position = {
  site: 'Ashlow Bank',
  position: 'Overspeed loops, AB 14',
  siteHref: '/list',
  positionHref: '/record',
  step: 'Check 3',
}

/** What the sample pages show. Invented. */
export const samples: Record<string, { title: string; desk: boolean; [local: string]: unknown }> = {
  check: {
    title: 'Supply at the power module',
    desk: false,
    place: { ...position, notDone: { count: 4, href: '/record' }, disturbed: { count: 2, href: '/record' } },
  },
  verdict: {
    title: 'Supply at the power module',
    desk: false,
    place: { ...position, notDone: { count: 3, href: '/record' }, disturbed: { count: 0, href: '/record' } },
  },
  form: { title: 'What did you see?', desk: false },
  list: {
    title: 'My open faults',
    desk: true,
    faults: [
      {
        symptom: 'Output dead, drive present',
        where: 'Ashlow Bank, overspeed loops AB 14 · reported 01:20',
        mark: { kind: 'current', word: 'at check 3' },
      },
      {
        symptom: 'Loop failed to arm',
        where: 'Yarrel Foot, train-stop loops YF 2 · reported 23:05',
        mark: { kind: 'disturbed', word: '2 disturbed' },
      },
      {
        symptom: 'Cleared before arrival',
        where: 'Ashlow Bank, overspeed loops AB 9 · reported yesterday',
        mark: { kind: 'open', word: 'not begun' },
      },
    ],
    history: {
      caption: 'Faults at AB 14',
      columns: [
        { text: 'Date' },
        { text: 'Symptom' },
        { text: 'Cause' },
        { text: 'Minutes', number: true },
        { text: 'Who' },
        { text: 'State' },
      ],
      rows: [
        [
          '25 Nov 2026',
          'Output dead, drive present',
          'Feeder joint corroded',
          '87',
          'R. Ash',
          'done',
          'proved',
        ],
        [
          '2 Nov 2026',
          'Output dead, drive present',
          'not reproduced',
          '35',
          'L. Thorne',
          'open',
          'cleared itself',
        ],
        ['14 Jul 2026', 'Loop failed to arm', 'Link loose', '52', 'R. Ash', 'done', 'proved'],
      ].map(([date, symptom, cause, minutes, who, kind, word]) => ({
        cells: [
          { text: date, href: '/record' },
          { text: symptom },
          { text: cause },
          { text: minutes },
          { text: who },
          { mark: { kind, word } },
        ],
      })),
    },
  },
  record: {
    title: 'Output dead, drive present',
    desk: false,
    path: [
      { at: '01:48', kind: 'done', word: 'done', text: 'Output lamp', detail: 'dark' },
      {
        at: '01:52',
        kind: 'struck',
        word: 'corrected',
        text: 'Supply at the power module',
        detail: '11.1 V',
        struck: true,
        by: 'R. Ash',
        why: 'Meter was on the wrong range.',
      },
      {
        at: '01:54',
        kind: 'below',
        word: 'below',
        text: 'Supply at the power module',
        detail: '96.4 V',
        by: 'R. Ash',
      },
      { kind: 'current', word: 'you are here', text: 'Feeder volt drop', href: '/check' },
      { kind: 'skipped', word: 'left out', text: 'Drive input', why: 'No key to the case.' },
      { kind: 'not-applicable', word: 'not needed here', text: 'Supply fuse' },
      { kind: 'open', word: 'not done yet', text: 'Loop continuity' },
    ],
    readings: {
      caption: 'Readings against range',
      columns: [
        { text: 'Check' },
        { text: 'Reading', number: true },
        { text: 'Expected' },
        { text: 'Verdict' },
      ],
      rows: [
        {
          cells: [
            { text: 'Supply at the power module' },
            { text: '96.4 V' },
            { text: '99 to 121 V', note: 'Demo value' },
            { mark: { kind: 'below', word: 'below' } },
          ],
        },
        {
          cells: [
            { text: 'Supply after repair' },
            { text: '110.8 V' },
            { text: '99 to 121 V', note: 'Demo value' },
            { mark: { kind: 'in', word: 'in range' } },
          ],
        },
        {
          cells: [
            { text: 'Contact resistance' },
            { text: '0.49 Ω' },
            { text: 'at most 0.5 Ω', note: 'Demo value' },
            { mark: { kind: 'close', word: 'too close to call' } },
          ],
        },
      ],
    },
  },
}
