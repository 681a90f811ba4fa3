import type { TodayTask } from '../../../shared/today.ts';

/** English for the wall. */
export const wall = {
  readingsAge: (span: string) => `readings ${span} old`,
  noReadings: 'no readings yet',
  otherScreens: 'Other screens',
  roomsShown: (from: number, to: number, of: number) =>
    from === to ? `room ${from} of ${of}` : `rooms ${from}–${to} of ${of}`,
  noValue: 'no reading',
  humid: 'humid',
  scale: (quantity: string, value: string, low: string | null, high: string | null, trend: string) => {
    const limits =
      low !== null && high !== null
        ? `allowed ${low} to ${high}`
        : low !== null
          ? `allowed from ${low}`
          : `allowed up to ${high}`;
    return `${quantity} ${value}, ${limits}, ${trend}`;
  },
  rack: (name: string, words: string) => `Rack ${name}: ${words}`,
  rackShelf: (shelf: string, words: string) => `${shelf} ${words}`,
  rackEmpty: 'empty',
  today: 'To do today',
  nothingToDo: 'Nothing presses today.',
  task: { shake: 'shake', use: 'use', 'too-old': 'too old', look: 'look at' } satisfies Record<
    TodayTask,
    string
  >,
  before: (day: string) => `before ${day}`,
  sooner: (days: string) => `${days} d sooner`,
  discard: 'discard',
  ranHot: 'ran hot',
  readyNow: (bags: number) => (bags === 1 ? '1 bag ready' : `${bags} bags ready`),
  unloadSince: (when: string, room: string) => `Unload ${when}, ${room}`,
  unloadAhead: (room: string) => `Unload in the ${room}`,
  unloadTo: (limit: string) => `to ${limit}`,
  unloadCooling: 'to cool',
  unloadProbe: { silent: 'its probe is silent', aside: 'its probe is not in it' },
  unloadCool: 'cool enough',
  unloadUnknown: 'not foreseen',
  unloadCount: (count: number) => `${count} ×`,
  unloadMore: (count: number) => `+${count}`,
  hot: (temp: string) => `surface ${temp}: gloves`,
  guess: (when: string, room: string) => `Looks like a hot load at ${when} in the ${room}: was it?`,
  guessBrief: (when: string) => `Hot load at ${when}?`,
  guessHow: 'Answer under Unload.',
  nextReady: 'Next ready',
  nothingGrows: 'nothing growing',
  acknowledge: 'Acknowledge',
  acknowledging: 'Telling …',
  acknowledgeFailed: (why: string) => `Not acknowledged: ${why}`,
  keyHint: (key: string) => `or press ${key}`,
  keyName: (key: string) => (key === ' ' ? 'Space' : key),
  noticeMore: (count: number) => (count === 0 ? '' : ` (and ${count} more)`),
  soundOff: 'sound off',
  allowSound: 'Tap once to allow sound',
  spoken: (title: string, advice: string) => `${title}. ${advice}`,
  held: (count: number, until: string | null) => {
    const what = `${count} shelved`;
    return until === null ? what : `${what} until ${until}`;
  },
  reset: 'latched: reset once put right',
  undelivered: (failed: number, waiting: number) =>
    failed > 0
      ? `${failed === 1 ? '1 message' : `${failed} messages`} NOT delivered`
      : `${waiting === 1 ? '1 message waits' : `${waiting} messages wait`} to go out`,
  alarmTitle: (title: string) => `! ${title}`,
  ended: 'This run has ended.',
} as const;
