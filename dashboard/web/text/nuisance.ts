/** English for the page on how often alarms ring. */
export const nuisance = {
  intro:
    'Counted after ISA-18.2. An alarm that rings often and needs nothing done teaches people not to listen: give it a wider deadband, a delay, or another limit.',
  alarms: 'Alarms that rang',
  perDay: (count: string) => `${count} a day`,
  priorities: 'Low / medium / high',
  prioritiesAim: 'aim 80 / 15 / 5 %',
  floods: 'Floods',
  floodShare: (share: string) => `${share} of the time, aim under 1 %`,
  stale: 'Stood for over a day',
  staleAim: 'aim none',
  rates: 'Alarms in each 10 minutes',
  rateHead: { rate: 'Alarms in 10 minutes', bar: 'Bar', count: 'Periods' },
  rate: { none: 'none', upTo2: '1 or 2', upTo5: '3 to 5', upTo10: '6 to 10', more: 'more than 10' },
  offenders: 'Those that rang most',
  noOffenders: 'Nothing rang in this time.',
  head: {
    alarm: 'Alarm',
    count: 'Rang',
    share: 'Of all',
    chattering: 'Chattered',
    fleeting: 'Over within a minute',
  },
  flood: (when: string, span: string, alarms: number, peak: number) =>
    `${when}, for ${span}: ${alarms} alarms, at most ${peak} in 10 minutes`,
  stood: (span: string, still: boolean) => (still ? `has stood for ${span}` : `stood for ${span}`),
} as const;
