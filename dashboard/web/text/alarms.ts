/** English for the alarms page. */
export const alarms = {
  title: 'Alarms',
  none: 'Nothing rings and nothing is held back.',
  now: 'Now',
  heldBack: 'Held back',
  tabsLabel: 'About alarms',
  tabs: { alarms: 'Now', journal: 'Journal', nuisance: 'How often', limits: 'Limits' },
  filtersLabel: 'Which lines',
  filters: {
    days: 'When',
    place: 'Where',
    state: 'Went to',
    who: 'Who',
    priority: 'How urgent',
  },
  any: 'all',
  noFilter: 'Show all',
  csv: 'Save as CSV',
  older: 'Older',
  newest: 'To the newest',
  lastDays: (days: number) => (days === 1 ? 'last day' : `last ${days} days`),
  journalNewest: 'What happened last',
  journalWhole: 'Whole journal',
  journal: 'Journal',
  journalNone: 'Nothing in it yet.',
  journalHead: { when: 'When', what: 'Alarm', event: 'What happened', who: 'Who', value: 'Value' },
  consequence: 'If nobody acts',
  respond: (span: string) => `respond within ${span}`,
  since: (span: string) => `for ${span}`,
  raised: (when: string) => `began ${when}`,
  acknowledge: 'Acknowledge',
  reset: 'Reset',
  shelve: 'Shelve …',
  unshelve: 'Unshelve',
  backToService: 'Back to service',
  shelvedUntil: (when: string) => `shelved until ${when}`,
  delivery: (sent: number, waiting: number, failed: number) => {
    const parts = [`${sent} sent`];
    if (waiting > 0) parts.push(`${waiting} waiting`);
    if (failed > 0) parts.push(`${failed} given up`);
    return `messages: ${parts.join(', ')}`;
  },
  chart: 'Curve',
  shelveTitle: (title: string) => `Shelve: ${title}`,
  shelveHint: 'It stays evaluated and in the journal, but does not ring. It comes back by itself.',
  shelveBeyond: 'The high alarms of its room, in whose place it rings, ring themselves meanwhile.',
  minutes: 'For how long',
  cap: (span: string) => `at most ${span}`,
  choices: [
    [15, '15 minutes'],
    [60, '1 hour'],
    [240, '4 hours'],
    [480, '8 hours'],
  ] as const,
  oneShot: 'Only until it clears once',
  why: 'Why',
  whyMissing: 'Say why, so that the next person knows.',
  who: 'Who',
  send: 'Shelve',
  cancel: 'Cancel',
  failed: (why: string) => `Not done: ${why}`,
  /** What stands in the journal as `re-alarm`, `limits-changed`, in words. */
  event: (event: string, from: string) =>
    event === 'limits-changed'
      ? 'limits changed'
      : `${event === 're-alarm' ? 'rang again' : event.replaceAll('-', ' ')}; was ${from}`,
} as const;
