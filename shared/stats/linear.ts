/**
 * Inverse of a small square matrix by Gauss-Jordan elimination with row exchange, or null when it is
 * singular to working precision. Rows and columns are scaled first, so mixed units do no harm.
 */
export function invert(matrix: readonly (readonly number[])[]): number[][] | null {
  const size = matrix.length;
  const scale = matrix.map((row, index) => 1 / Math.sqrt(Math.abs(row[index]!)));
  if (scale.some((value) => !Number.isFinite(value))) return null;
  const work = matrix.map((row, i) => [
    ...row.map((value, j) => value * scale[i]! * scale[j]!),
    ...row.map((_, j) => (i === j ? 1 : 0)),
  ]);
  for (let column = 0; column < size; column++) {
    let pivot = column;
    for (let row = column + 1; row < size; row++)
      if (Math.abs(work[row]![column]!) > Math.abs(work[pivot]![column]!)) pivot = row;
    const lead = work[pivot]![column]!;
    if (!(Math.abs(lead) > 1e-12)) return null;
    [work[column], work[pivot]] = [work[pivot]!, work[column]!];
    work[column] = work[column]!.map((value) => value / lead);
    for (let row = 0; row < size; row++) {
      const factor = work[row]![column]!;
      if (row === column || factor === 0) continue;
      work[row] = work[row]!.map((value, j) => value - factor * work[column]![j]!);
    }
  }
  return work.map((row, i) => row.slice(size).map((value, j) => value * scale[i]! * scale[j]!));
}
