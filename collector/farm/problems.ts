/** One thing wrong in a farm file, where it stands and how to mend it. Lines and columns count from 1. */
export interface Problem {
  file: string;
  line: number;
  column: number;
  found: string;
  wanted: string;
  mend: string;
}

export type Where = Pick<Problem, 'file' | 'line' | 'column'>;

const shownAtMost = 200;

/** `farm.yaml:12:7: found ...; wanted ...; rename it to topic`, one line each, top of the file first. */
export function problemsText(problems: readonly Problem[]): string {
  const lines = problems
    .slice(0, shownAtMost)
    .map((p) => `${p.file}:${p.line}:${p.column}: found ${p.found}; wanted ${p.wanted}; ${p.mend}`);
  const left = problems.length - lines.length;
  if (left > 0) lines.push(`and ${left} more; mend these first`);
  return lines.join('\n');
}
