// Prints how long the source files are: median, ninetieth percentile and the longest three.
import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';

const files = execFileSync(
  'git',
  [
    'ls-files',
    '{shared,collector,alerts,dashboard,simulator}/**/*.ts',
    '*.tsx',
    'shared/*.ts',
    'collector/*.ts',
    'alerts/*.ts',
    'dashboard/*.ts',
    'simulator/*.ts',
  ],
  { encoding: 'utf8' },
)
  .split('\n')
  .filter((file) => file !== '');
const lengths = files
  .map((file) => ({ file, lines: readFileSync(file, 'utf8').split('\n').length - 1 }))
  .sort((a, b) => a.lines - b.lines);
const at = (share) => lengths[Math.min(lengths.length - 1, Math.floor(share * lengths.length))]?.lines;
console.log(`source files: ${lengths.length}, lines median ${at(0.5)}, ninetieth percentile ${at(0.9)}`);
console.log(
  `longest: ${lengths
    .slice(-3)
    .map(({ file, lines }) => `${file} (${lines})`)
    .join(', ')}`,
);
