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
  running: 'A run is on',
  ended: 'The run has ended',
  time: (when: string) => `simulated time ${when}`,
  progress: (done: number) => `${done} % of the week`,
  toScreens: 'To its screens',
  pause: 'Pause',
  goOn: 'Go on',
  end: 'End the run',
  another: 'Choose another week',
  report: 'What happened, and when it was seen',
  reportNone: 'Nothing yet that anyone had to see.',
  reportHead: { when: 'When', what: 'What happened', seen: 'Seen', by: 'By', took: 'Took' },
  notSeen: 'not seen',
  failed: (why: string) => `Not done: ${why}`,
  noRun: 'No training run is open.',
} as const;

function hourTakes(speed: number): string {
  const seconds = 3_600 / speed;
  return seconds >= 120 ? `${Math.round(seconds / 60)} min` : `${Math.round(seconds)} s`;
}
