const teeth = 6;
/** How far the front strays from its level, in glyph units. */
const reach = 5;

/** Points of an uneven front from `left` to `right` around `level`; its mean is the level. */
export function raggedFront(left: number, right: number, level: number, seed: number): string {
  const strays = Array.from(
    { length: teeth + 1 },
    (_, at) => (at % 2 === 0 ? 1 : -1) * (0.35 + 0.65 * unrest(seed, at)),
  );
  const mean = strays.reduce((sum, stray) => sum + stray, 0) / strays.length;
  return strays
    .map((stray, at) => {
      const x = left + ((right - left) * at) / teeth;
      return `${x.toFixed(1)} ${(level + (stray - mean) * reach).toFixed(1)}`;
    })
    .join(' L');
}

/** A number 0-1 that looks random and always is the same for the same bag and tooth. */
function unrest(seed: number, at: number): number {
  const mixed = Math.imul((seed * 31 + at * 17) ^ 0x9e37, 0x85ebca6b);
  return ((mixed ^ (mixed >>> 13)) >>> 0) / 0x1_0000_0000;
}
