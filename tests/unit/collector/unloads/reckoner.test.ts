import { expect, it } from 'vitest';
import { createReckoner } from '../../../../collector/unloads/reckoner.ts';
import { planQuestion } from '../../../tools/plan-question.ts';

it('starts no thread for a plan that was gathered while the site closed', async () => {
  const { localHour: _, ...input } = planQuestion({ count: 1, cohorts: [] });
  const reckoner = createReckoner(true);
  await reckoner.close();
  await expect(reckoner.plan('UTC', input)).rejects.toMatchObject({ code: 'unavailable' });
});
