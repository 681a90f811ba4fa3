import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { onTestFinished } from 'vitest';
import { createProgress } from '../../../../collector/import/progress.ts';
import { migrations } from '../../../../collector/main.ts';
import { openDatabase } from '../../../../collector/store/open-database.ts';
import { createManualClock } from '../../../../shared/manual-clock.ts';
import { smallFarm } from '../../../tools/small-farm.ts';

const sensor = (id: string, at: string, quantity: 'temperature' | 'humidity' = 'temperature') => ({
  id,
  topic: `t/${id}`,
  decoder: 'plain' as const,
  at,
  channels: [{ quantity, unit: quantity === 'temperature' ? ('degC' as const) : ('%' as const) }],
});

const now = Date.UTC(2026, 10, 1);

const farm = smallFarm(
  [
    sensor('on-a1', 'A1'),
    sensor('damp-a1', 'A1', 'humidity'),
    sensor('on-a2', 'A2'),
    sensor('a2-too', 'A2'),
    {
      ...sensor('contact', 'warm'),
      channels: [{ quantity: 'cooler-on', unit: 'state' }],
    },
    {
      ...sensor('plug', 'warm'),
      channels: [{ quantity: 'cooler-on', unit: 'W', onAboveW: 90 }],
    },
    {
      ...sensor('wall', 'warm'),
      channels: [
        { quantity: 'temperature', unit: 'degC', calibration: [{ from: '2026-10-10', offset: -0.5 }] },
      ],
    },
  ],
  {
    strains: [{ id: 'oyster-blue', name: 'Blue', species: 'oyster' }],
    containers: [
      {
        id: 'bag-3l',
        name: '3 L bag',
        kind: 'bag',
        shape: { form: 'cylinder', diameterM: 0.14, heightM: 0.2 },
        massKg: 2.2,
        volumeL: 3,
      },
    ],
  },
);

/** A database in memory, files in a folder of their own, and what was told meanwhile; gone with the test. */
export function openImportSite() {
  const folder = mkdtempSync(join(tmpdir(), 'shelfwarden-import-'));
  const clock = createManualClock(now);
  const told: string[] = [];
  const database = openDatabase({ file: ':memory:', migrations, clock });
  onTestFinished(() => {
    database.close();
    rmSync(folder, { recursive: true });
  });
  const progress = createProgress({ write: (text) => told.push(text) }, clock);
  return {
    folder,
    clock,
    told,
    database,
    farm,
    progress,
    file(name: string, text: string | Buffer): string {
      const path = join(folder, name);
      writeFileSync(path, text);
      return path;
    },
    rows: () =>
      database
        .prepare<[], [string, number, number, number]>(
          'SELECT channel, t, value, quality FROM reading JOIN series ON series.id = reading.series ORDER BY 1, 2',
        )
        .raw()
        .all(),
  };
}
