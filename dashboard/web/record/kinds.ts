/** What the form can record, in the order in which it offers them. */
export const recordKinds = [
  'made',
  'placed',
  'moved',
  'checked',
  'shaken',
  'used',
  'discarded',
  'noted',
] as const;
export type RecordKind = (typeof recordKinds)[number];
