/** What to do when a part of the tool itself fails, and how urgent that is. */
export const adviceFor = {
  delivery: {
    priority: 1,
    advice: 'Check the mail server and the network; watch the wall until messages go out again.',
  },
  forecasts: {
    priority: 3,
    advice: 'Start Shelfwarden again; the last forecasts are shown until then. Alarms go on.',
  },
  store: {
    priority: 1,
    advice: 'Free space on the disk of the data folder; readings wait at their senders meanwhile.',
  },
  broker: {
    priority: 2,
    advice: 'Check that the broker runs and that the network is up.',
  },
} as const;
