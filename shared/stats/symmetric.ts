/** Square matrices are arrays of rows one after the other. */

/**
 * Eigenvalues and eigenvectors (columns of `vectors`) of a symmetric matrix by cyclic Jacobi rotations;
 * Golub & Van Loan, Matrix Computations, 8.5. Meant for a few dimensions.
 */
export function symmetricEigen(
  matrix: ArrayLike<number>,
  n: number,
): { values: Float64Array; vectors: Float64Array } {
  const a = Float64Array.from(matrix);
  const vectors = new Float64Array(n * n);
  for (let i = 0; i < n; i++) vectors[i * n + i] = 1;
  for (let sweep = 0; sweep < 60; sweep++) {
    let off = 0;
    for (let p = 0; p < n; p++) for (let q = 0; q < p; q++) off += a[p * n + q]! ** 2;
    if (off < 1e-22) break;
    for (let p = 0; p < n - 1; p++)
      for (let q = p + 1; q < n; q++) {
        const apq = a[p * n + q]!;
        if (Math.abs(apq) < 1e-300) continue;
        const theta = (a[q * n + q]! - a[p * n + p]!) / (2 * apq);
        const t = (theta >= 0 ? 1 : -1) / (Math.abs(theta) + Math.sqrt(theta * theta + 1));
        const c = 1 / Math.sqrt(t * t + 1);
        const s = t * c;
        for (let k = 0; k < n; k++) {
          const kp = a[k * n + p]!;
          const kq = a[k * n + q]!;
          a[k * n + p] = c * kp - s * kq;
          a[k * n + q] = s * kp + c * kq;
        }
        for (let k = 0; k < n; k++) {
          const pk = a[p * n + k]!;
          const qk = a[q * n + k]!;
          a[p * n + k] = c * pk - s * qk;
          a[q * n + k] = s * pk + c * qk;
          const vp = vectors[k * n + p]!;
          const vq = vectors[k * n + q]!;
          vectors[k * n + p] = c * vp - s * vq;
          vectors[k * n + q] = s * vp + c * vq;
        }
      }
  }
  return { values: Float64Array.from({ length: n }, (_, i) => a[i * n + i]!), vectors };
}

/** Lower Cholesky root; undefined unless the matrix is symmetric and positive definite. */
export function choleskyRoot(matrix: ArrayLike<number>): Float64Array | undefined {
  const n = Math.round(Math.sqrt(matrix.length));
  const root = new Float64Array(n * n);
  for (let row = 0; row < n; row++)
    for (let column = 0; column <= row; column++) {
      const upper = matrix[column * n + row]!;
      let sum = matrix[row * n + column]!;
      if (!(Math.abs(sum - upper) <= 1e-9 * (1 + Math.abs(upper)))) return undefined;
      for (let k = 0; k < column; k++) sum -= root[row * n + k]! * root[column * n + k]!;
      if (row === column && !(sum > 0)) return undefined;
      root[row * n + column] = row === column ? Math.sqrt(sum) : sum / root[column * n + column]!;
    }
  return root;
}

/**
 * Inverse of a symmetric positive definite matrix, by its Cholesky root.
 * @throws RangeError for one that is not.
 */
export function invertSymmetric(matrix: ArrayLike<number>, n: number): Float64Array {
  const root = choleskyRoot(matrix);
  if (root === undefined) throw new RangeError('the matrix is not symmetric and positive definite');
  // Inverse of the root, then its transpose times itself.
  const inverse = new Float64Array(n * n);
  for (let column = 0; column < n; column++)
    for (let row = column; row < n; row++) {
      let sum = row === column ? 1 : 0;
      for (let k = column; k < row; k++) sum -= root[row * n + k]! * inverse[k * n + column]!;
      inverse[row * n + column] = sum / root[row * n + row]!;
    }
  const product = new Float64Array(n * n);
  for (let row = 0; row < n; row++)
    for (let column = 0; column <= row; column++) {
      let sum = 0;
      for (let k = row; k < n; k++) sum += inverse[k * n + row]! * inverse[k * n + column]!;
      product[row * n + column] = sum;
      product[column * n + row] = sum;
    }
  return product;
}
