/**
 * Number of single-character slips (missing, extra, wrong, or two swapped) between two words.
 * Optimal string alignment distance; costs the product of the lengths.
 */
export function slipsBetween(a: string, b: string): number {
  const width = b.length + 1;
  const rows = [new Array<number>(width), new Array<number>(width), new Array<number>(width)] as const;
  let [before, above, here] = rows as readonly number[][] as [number[], number[], number[]];
  for (let j = 0; j < width; j++) above[j] = j;
  for (let i = 1; i <= a.length; i++) {
    here[0] = i;
    for (let j = 1; j < width; j++) {
      const same = a[i - 1] === b[j - 1] ? 0 : 1;
      let best = Math.min(above[j]! + 1, here[j - 1]! + 1, above[j - 1]! + same);
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1])
        best = Math.min(best, before[j - 2]! + 1);
      here[j] = best;
    }
    [before, above, here] = [above, here, before];
  }
  return above[b.length]!;
}

const plain = (word: string): string => word.toLowerCase().replaceAll(/[^\p{L}\p{N}]/gu, '');

/**
 * The known word that was most likely meant, or undefined when none is near: at most one slip in
 * three characters, letter case and punctuation ignored.
 */
export function nearest(word: string, known: Iterable<string>): string | undefined {
  const asked = plain(word).slice(0, 60);
  if (asked === '') return undefined;
  let best: string | undefined;
  let fewest = Math.max(1, Math.floor(asked.length / 3)) + 1;
  for (const candidate of known) {
    const other = plain(candidate);
    if (Math.abs(other.length - asked.length) >= fewest) continue;
    const slips = slipsBetween(asked, other);
    if (slips < fewest) [best, fewest] = [candidate, slips];
  }
  return best;
}
