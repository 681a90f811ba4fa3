/** Reads `1-4, 7` as bag numbers, ascending and once each; null when it is none, [] when it is empty. */
export function readBags(text: string): number[] | null {
  const bags = new Set<number>();
  for (const part of text.split(',').map((piece) => piece.trim())) {
    if (part === '') continue;
    const [, from, to] = /^(\d{1,3})(?:\s*[-–]\s*(\d{1,3}))?$/.exec(part) ?? [];
    if (from === undefined) return null;
    const first = Number(from);
    const last = to === undefined ? first : Number(to);
    if (first < 1 || last < first) return null;
    for (let bag = first; bag <= last; bag += 1) bags.add(bag);
  }
  return [...bags].sort((a, b) => a - b);
}

/** Bag numbers as a person writes them: `1–4, 7`. */
export function writeBags(bags: readonly number[]): string {
  const runs: [number, number][] = [];
  for (const bag of [...bags].sort((a, b) => a - b)) {
    const run = runs.at(-1);
    if (run !== undefined && bag === run[1] + 1) run[1] = bag;
    else runs.push([bag, bag]);
  }
  return runs.map(([from, to]) => (from === to ? `${from}` : `${from}–${to}`)).join(', ');
}
