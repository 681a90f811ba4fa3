/**
 * Temperature errors, in standard deviations, for which thermal time is kept. Growth depends on temperature
 * through thermal time alone, so a cohort keeps it for these 13 errors and each particle reads its own between
 * two of them: exact in all but the bend of the response over half a standard deviation.
 */
export const nodeCount = 13;
const nodeSpacing = 0.5;
export const middleNode = (nodeCount - 1) / 2;

/** Error of a node [sd]. */
export const nodeError = (node: number): number => (node - middleNode) * nodeSpacing;

/** Place among the nodes, 0 to just below `nodeCount - 1`, of an error [sd]; errors beyond 3 count as 3. */
export const nodePlace = (error: number): number =>
  Math.min(nodeCount - 1 - 1e-9, Math.max(0, error / nodeSpacing + middleNode));

/** Value between nodes. */
export function between(nodes: Float64Array, node: number, part: number): number {
  const low = nodes[node]!;
  return low + part * (nodes[node + 1]! - low);
}
