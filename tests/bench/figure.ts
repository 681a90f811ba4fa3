import { writeFileSync } from 'node:fs';

/** One measured line of `npm run bench` or `npm run faults`. Null where there is no baseline or goal. */
export interface Figure {
  name: string;
  value: number;
  unit: string;
  baseline: number | null;
  ratio: number | null;
  goal: string | null;
  holds: boolean | null;
}

const short = (value: number | null): string =>
  value === null ? '-' : Number.isInteger(value) ? String(value) : value.toPrecision(4);

const word = (holds: boolean | null): string => (holds === null ? '' : holds ? 'holds' : 'FALLS SHORT');

/** The figures as a table of text columns. */
function figureTable(figures: readonly Figure[]): string {
  const head = ['name', 'value', 'unit', 'baseline', 'ratio', 'goal', ''];
  const rows = figures.map((figure) => [
    figure.name,
    short(figure.value),
    figure.unit,
    short(figure.baseline),
    short(figure.ratio),
    figure.goal ?? '-',
    word(figure.holds),
  ]);
  const widths = head.map((title, column) =>
    Math.max(title.length, ...rows.map((row) => row[column]!.length)),
  );
  return [head, ...rows]
    .map((row) =>
      row
        .map((cell, column) => cell.padEnd(widths[column]!))
        .join('  ')
        .trimEnd(),
    )
    .join('\n');
}

type Run = () => Promise<Figure[]>;

/**
 * Command-line front of a folder of measurements: `NAME... [--json FILE]`, all of them without a name.
 * Exits 1 when a goal does not hold.
 */
export async function runNamed(measurements: Record<string, () => Promise<{ run: Run }>>): Promise<void> {
  const words = process.argv.slice(2);
  const jsonAt = words.indexOf('--json');
  const jsonFile = jsonAt < 0 ? undefined : words.splice(jsonAt, 2)[1];
  if (jsonAt >= 0 && jsonFile === undefined) throw new Error('--json needs a file name');
  const names = words.length > 0 ? words : Object.keys(measurements);
  const figures: Figure[] = [];
  for (const name of names) {
    const load = measurements[name];
    if (load === undefined)
      throw new Error(`no measurement '${name}'; there are: ${Object.keys(measurements).join(', ')}`);
    figures.push(...(await (await load()).run()));
  }
  console.log(figureTable(figures));
  if (jsonFile !== undefined) writeFileSync(jsonFile, `${JSON.stringify(figures, null, 2)}\n`);
  process.exitCode = figures.some((figure) => figure.holds === false) ? 1 : 0;
}
