import type { RateRow } from '../../shared/growth/fit.ts';

export interface PlotCurve {
  label: string;
  rateAt(tempC: number): number;
}

const size = { width: 760, height: 460, left: 64, right: 24, top: 40, bottom: 56 } as const;
/** Dark enough on white (WCAG 2.2, 4.5 : 1) and told apart by dash as well as by colour. */
const strokes = [
  { colour: '#0b5e55', dash: '' },
  { colour: '#8a3b12', dash: '7 4' },
  { colour: '#3d3f9e', dash: '2 4' },
  { colour: '#6b2360', dash: '10 3 2 3' },
  { colour: '#4a4a4a', dash: '4 2' },
] as const;

const escaped = (text: string): string =>
  text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;').replaceAll('"', '&quot;');

/** A round step that parts a span into about `count`. */
function stepOf(span: number, count: number): number {
  const rough = span / count;
  const power = 10 ** Math.floor(Math.log10(rough));
  return power * ([1, 2, 5].find((step) => step * power >= rough) ?? 10);
}
const ticks = (from: number, to: number, count: number): number[] => {
  const step = stepOf(to - from, count);
  const first = Math.ceil(from / step) * step;
  const many = Math.floor((to - first) / step + 1e-9) + 1;
  return Array.from({ length: many }, (_, index) => Number((first + index * step).toPrecision(6)));
};

/** The table's rates, with their standard deviations where given, and the fitted curves as an SVG document. */
export function svgPlot(title: string, rows: readonly RateRow[], curves: readonly PlotCurve[]): string {
  const { width, height, left, right, top, bottom } = size;
  const temperatures = rows.map(({ tempC }) => tempC);
  const fromC = Math.min(...temperatures) - 4;
  const toC = Math.max(...temperatures) + 4;
  const grid = Array.from({ length: 161 }, (_, index) => fromC + ((toC - fromC) * index) / 160);
  const highest =
    1.08 *
    Math.max(
      ...rows.map(({ rate, sd = 0 }) => rate + sd),
      ...curves.flatMap(({ rateAt }) => grid.map(rateAt)),
    );
  const x = (tempC: number): string =>
    (left + ((width - left - right) * (tempC - fromC)) / (toC - fromC)).toFixed(1);
  const y = (rate: number): string =>
    (height - bottom - ((height - top - bottom) * rate) / highest).toFixed(1);

  const across = ticks(fromC, toC, 8).map(
    (tempC) =>
      `<path d="M${x(tempC)} ${y(0)}v6"/><text x="${x(tempC)}" y="${height - bottom + 22}" text-anchor="middle">${tempC}</text>`,
  );
  const up = ticks(0, highest, 5).map(
    (rate) =>
      `<path d="M${left} ${y(rate)}h-6"/><text x="${left - 10}" y="${y(rate)}" dy="0.35em" text-anchor="end">${rate}</text>`,
  );
  const lines = curves.map(({ label, rateAt }, index) => {
    const { colour, dash } = strokes[index % strokes.length]!;
    const path = grid.map((tempC, at) => `${at === 0 ? 'M' : 'L'}${x(tempC)} ${y(rateAt(tempC))}`).join('');
    const line = `fill="none" stroke="${colour}" stroke-width="2" stroke-dasharray="${dash}"`;
    const row = top + 8 + 20 * index;
    return `<path d="${path}" ${line}/><path d="M${left + 16} ${row}h34" ${line}/><text x="${left + 58}" y="${row}" dy="0.35em">${escaped(label)}</text>`;
  });
  const points = rows.map(({ tempC, rate, sd }) => {
    const bar =
      sd === undefined
        ? ''
        : `<path d="M${x(tempC)} ${y(rate + sd)}V${y(Math.max(0, rate - sd))}" stroke="#1a1a1a"/>`;
    return `${bar}<circle cx="${x(tempC)}" cy="${y(rate)}" r="4.5" fill="#ffffff" stroke="#1a1a1a" stroke-width="1.8"/>`;
  });
  return `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${width} ${height}" role="img" aria-label="${escaped(title)}" font-family="sans-serif" font-size="14" fill="#1a1a1a">
<rect width="${width}" height="${height}" fill="#ffffff"/>
<text x="${left}" y="22" font-weight="bold">${escaped(title)}</text>
<g stroke="#1a1a1a" fill="none"><path d="M${left} ${top}V${y(0)}H${width - right}"/></g>
<g stroke-width="1">${[...across, ...up].join('\n').replaceAll('<path', '<path stroke="#1a1a1a"')}</g>
<text x="${(left + width - right) / 2}" y="${height - 12}" text-anchor="middle">temperature, °C</text>
<text transform="translate(18 ${(top + height - bottom) / 2}) rotate(-90)" text-anchor="middle">rate, as in the table</text>
${[...lines, ...points].join('\n')}
</svg>
`;
}
