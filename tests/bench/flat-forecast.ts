import { cardinal } from '../../shared/growth/response.ts';

/**
 * What a minute costs if nothing but the sums is done, in one flat loop: every particle of every cohort takes its
 * own temperature through the response, adds up thermal time and works out its share, once a minute.
 * @returns ms of a core
 */
export function flatMinute(cohorts: number, particles: number): number {
  const response = cardinal(5, 27, 36);
  const count = cohorts * particles;
  const theta = new Float64Array(count);
  const share = new Float64Array(count);
  const warmth = Float64Array.from({ length: particles }, (_, i) => (i / particles - 0.5) * 2);
  const rate = Float64Array.from({ length: particles }, (_, i) => 4 + (2 * i) / particles);
  const core = new Float64Array(cohorts).fill(23);
  const minute = (airC: number): void => {
    for (let cohort = 0; cohort < cohorts; cohort++) {
      core[cohort]! += (airC - core[cohort]!) * 0.003;
      const from = cohort * particles;
      for (let i = 0; i < particles; i++) {
        const at = from + i;
        theta[at]! += response(core[cohort]! + warmth[i]!) / 1440;
        const radius = rate[i]! * Math.max(0, theta[at]! - 1.5);
        share[at] = 1 - Math.exp(-3 * Math.log1p((0.0000239 * radius * radius * radius) / 3));
      }
    }
  };
  minute(22);
  const since = process.cpuUsage();
  for (let round = 0; round < 3; round++) minute(22 + round);
  const { user, system } = process.cpuUsage(since);
  if (!(share[count - 1]! >= 0)) throw new Error('the flat loop has lost its way');
  return (user + system) / 1000 / 3;
}
