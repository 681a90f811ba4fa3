/** Who may import whom. CI also expects tests/fixtures/forbidden-import to be refused. */
const parts = (names) => `^(tests/fixtures/forbidden-import/)?(${names})/`;
const wiring = '^(tests/fixtures/forbidden-import/)?collector/(main|site|cli|demo|training)\\.ts$';

module.exports = {
  forbidden: [
    {
      name: 'no-cycles',
      severity: 'error',
      from: {},
      to: { circular: true },
    },
    {
      name: 'shared-stands-alone',
      severity: 'error',
      from: { path: parts('shared') },
      to: { path: parts('collector|alerts|dashboard|simulator|tests') },
    },
    {
      name: 'parts-import-shared-only',
      severity: 'error',
      from: { path: parts('alerts') },
      to: { path: parts('collector|dashboard|simulator|tests') },
    },
    {
      name: 'simulator-imports-shared-only',
      severity: 'error',
      from: { path: parts('simulator') },
      to: { path: parts('collector|alerts|dashboard|tests') },
    },
    {
      name: 'server-imports-shared-only',
      severity: 'error',
      from: { path: parts('dashboard/server') },
      to: { path: parts('collector|alerts|simulator|dashboard/web|tests') },
    },
    {
      name: 'web-imports-shared-only',
      severity: 'error',
      from: { path: parts('dashboard/web') },
      to: { path: parts('collector|alerts|simulator|dashboard/server|tests') },
    },
    {
      name: 'only-the-wiring-joins-parts',
      severity: 'error',
      from: { path: parts('collector'), pathNot: wiring },
      to: { path: parts('alerts|dashboard|simulator|tests') },
    },
    {
      name: 'shared-does-no-io',
      severity: 'error',
      from: { path: parts('shared') },
      to: { dependencyTypes: ['core'] },
    },
  ],
  options: {
    doNotFollow: { path: 'node_modules' },
    exclude: { path: '(^|/)(dist|node_modules)/' },
    tsConfig: { fileName: 'tsconfig.json' },
    tsPreCompilationDeps: true,
    enhancedResolveOptions: { extensions: ['.ts', '.tsx', '.js', '.json'] },
  },
};
