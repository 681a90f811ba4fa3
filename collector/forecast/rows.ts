/** Lengths of the steps ahead [h]: fine while the core still moves, by the quarter day, then by the day. */
const stretches: readonly (readonly [hours: number, count: number])[] = [
  [2, 48],
  [6, 104],
  [24, 60],
];

/** Length of each step ahead, and the hour at which it ends and its middle lies. */
export const rowLengthH = Float64Array.from(
  stretches.flatMap(([hours, count]) => new Array<number>(count).fill(hours)),
);
export const rowCount = rowLengthH.length;
export const rowEndH = new Float64Array(rowCount);
rowLengthH.forEach((hours, row) => {
  rowEndH[row] = (row === 0 ? 0 : rowEndH[row - 1]!) + hours;
});
/** How far is looked ahead [h]. */
export const horizonH = rowEndH[rowCount - 1]!;
