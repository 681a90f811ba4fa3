/** English for the page behind a link of a message. */
export const acknowledge = {
  title: 'Acknowledge an alarm',
  for: (who: string) => `This link was sent to ${who}.`,
  button: 'Acknowledge',
  sending: 'Sending …',
  done: 'Acknowledged. The alarm stays in view until its condition is over.',
  meaning: 'Acknowledging says that you have seen it and are on it. It does not end the alarm.',
  toAlarms: 'To the alarms',
} as const;
