/** English for training. */
export const train = {
  title: 'Train',
  lead: 'A training week is a farm that does not exist: the same rooms and screens, simulated sensors, time that runs as fast as you like. Nothing in it touches the real farm’s records, and no message leaves.',
  choose: 'Choose a week',
  days: (days: number) => (days === 1 ? '1 day' : `${days} days`),
  speed: 'How fast',
  speeds: [1, 10, 60, 200, 500] as const,
  speedName: (speed: number) => `${speed}×`,
  speedHint: (speed: number) =>
    speed === 1 ? 'An hour takes an hour.' : `An hour takes ${hourTakes(speed)}.`,
  start: 'Start',
  starting: 'Setting up the rooms …',
  running: 'A training run is on',
  ended: 'The week is over',
  time: (when: string) => `Simulated time ${when}`,
  progress: (done: number) => `${done} % of the week`,
  toScreens: 'Open its screens',
  pause: 'Pause',
  goOn: 'Go on',
  end: 'End the run',
  another: 'Choose another week',
  report: 'What happened, and when it was seen',
  reportNone: (ended: boolean) =>
    ended ? 'Nothing happened that anyone had to see.' : 'Nothing yet that anyone had to see.',
  reportHead: { when: 'When', what: 'What happened', seen: 'Seen', took: 'Seen after', by: 'By' },
  notSeen: 'not seen',
  seenBefore: 'before it came',
  failed: (why: string) => `Not done: ${why}`,
  noRun: 'No training run is open.',
  noRunWhy: 'It was ended, or none has been started yet. The farm itself is watched as always.',
  chooseAndStart: 'Choose a week and start one',
  chooseBelow: 'Choose a week below and start one.',
} as const;

function hourTakes(speed: number): string {
  const seconds = 3_600 / speed;
  return seconds >= 120 ? `${Math.round(seconds / 60)} min` : `${Math.round(seconds)} s`;
}
