import type { ScoreLine } from '../../shared/api/strains.ts';
import { AppError } from '../../shared/errors.ts';
import type { FinishedBatch } from '../../shared/learning.ts';
import { createProgress } from '../import/progress.ts';
import { createLedger } from '../learning/ledger.ts';
import { sayingsOf, scoresOf } from '../learning/score.ts';
import { baseOf } from '../learning/strain-page.ts';
import { systemClock as clock } from '../system-clock.ts';
import { type Command, text } from './command.ts';
import { openLearned, siteOptions, siteOptionsHelp } from './site-folder.ts';

const percent = (share: number): string => `${Math.round(share * 100)} %`;

const head = ['forecast at', 'by', 'batches', 'CRPS d', 'MAE d', 'bias d', '80 % held', 'honest band'];

function table(lines: readonly ScoreLine[]): string {
  const rows = lines.map(({ occasion, contestant, count, crpsDays, maeDays, biasDays, coverage }) => [
    occasion,
    contestant,
    String(count),
    crpsDays.toFixed(2),
    maeDays.toFixed(2),
    `${biasDays < 0 ? '' : '+'}${biasDays.toFixed(2)}`,
    percent(coverage.share),
    `${percent(coverage.band.low)} to ${percent(coverage.band.high)}${coverage.holds ? '' : ', missed'}`,
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

const countsOf = (finished: readonly FinishedBatch[]) => ({
  seen: finished.filter(({ outcome }) => outcome.kind === 'seen').length,
  censored: finished.filter(({ outcome }) => outcome.kind === 'censored').length,
});

export const scoreCommand: Command = {
  name: 'score',
  summary: 'how well ready dates were forecast, beside a fixed-days rule and plain degree-days',
  help: `shelfwarden score [--strain ID] [--json] [options]

Every batch that was seen full is scored as it was forecast at inoculation, after the first check, after
shaking and three days before, against the middle between the look that found it full and the one before.
CRPS (lower is better; days), mean absolute error, bias (above 0 is late), and how often the 80 % interval
held, with the central 95 % of what an honest interval would show over as many batches. Beside it two rules
that know species and way of inoculating and learn from the same past: so many days after the making, and so
many degree-days above the species' lowest temperature. Batches that nobody saw full are counted apart.

  --strain ID      one strain only (default: all together, then each)
  --json           one JSON object
${siteOptionsHelp}`,
  options: { ...siteOptions, strain: { type: 'string' }, json: { type: 'boolean' } },
  async run(values, positionals) {
    if (positionals.length > 0)
      throw new AppError('bad-request', `score takes no '${positionals[0]}'; name a strain with --strain.`);
    const { farm, database } = openLearned(values, createProgress(process.stderr, clock));
    try {
      const wanted = text(values, 'strain');
      if (wanted !== undefined && !farm.strains.has(wanted))
        throw new AppError(
          'not-found',
          `There is no strain ${wanted}; known are ${[...farm.strains.keys()].join(', ')}.`,
        );
      const finished = createLedger(database).finished();
      const sayings = sayingsOf(finished, baseOf(farm));
      const strains = [...farm.strains.keys()]
        .filter((strain) => wanted === undefined || strain === wanted)
        .map((strain) => ({
          strain,
          counts: countsOf(finished.filter((batch) => batch.strain === strain)),
          scores: scoresOf(sayings.filter((one) => one.strain === strain)),
        }));
      const all = { counts: countsOf(finished), scores: scoresOf(sayings) };
      if (values.json === true) {
        console.log(JSON.stringify({ ...all, strains, sayings }));
        return 0;
      }
      const { seen, censored } = all.counts;
      console.log(`${seen} batches were seen full, ${censored} ended before anyone saw them full.`);
      if (wanted === undefined && seen > 0) console.log(`\nAll strains\n${table(all.scores)}`);
      for (const { strain, scores } of strains)
        if (scores.length > 0)
          console.log(`\n${farm.strains.get(strain)!.name} (${strain})\n${table(scores)}`);
      return 0;
    } finally {
      database.close();
    }
  },
};
