import { describe, expect, it } from 'vitest';
import { pathOf, placeOf } from '../../../../dashboard/web/routes.ts';

describe('routes', () => {
  it.each([
    '/',
    '/rooms',
    '/alarms',
    '/charts',
    '/farm',
    '/train',
    '/batches/K701',
    '/strains/larch-2',
    '/training/strains/larch-2',
    '/acknowledge/abc.def-_1',
    '/alarms/journal',
    '/alarms/how-often',
    '/alarms/limits',
    '/training/alarms/limits',
    '/training',
    '/training/rooms',
    '/unload',
    '/unloads/u-1',
    '/rooms/warm',
    '/training/unload',
    '/training/unloads/u-1',
    '/training/rooms/warm',
    '/training/batches/K%2F1',
  ])('%s leads to a page and back', (path) => {
    expect(pathOf(placeOf(path))).toBe(path);
  });

  it('finds an alarm by the id in the query', () => {
    const page = { name: 'alarm', id: 'high/warm.humidity' } as const;
    expect(pathOf({ site: 'farm', page })).toBe('/alarms/one?id=high%2Fwarm.humidity');
    expect(placeOf('/alarms/one', '?id=high%2Fwarm.humidity').page).toEqual(page);
    expect(placeOf('/alarms/one').page.name).toBe('unknown');
  });

  it('knows the training site by its first word', () => {
    expect(placeOf('/training/alarms')).toEqual({ site: 'training', page: { name: 'alarms' } });
    expect(placeOf('/alarms/')).toEqual({ site: 'farm', page: { name: 'alarms' } });
  });

  it.each(['/nowhere', '/rooms/3/4', '/unloads', '/batches', '/strains', '/training/train', '/batches/a/b'])(
    '%s is no page',
    (path) => expect(placeOf(path).page.name).toBe('unknown'),
  );

  it('takes an address that is wrongly encoded as it stands', () => {
    expect(placeOf('/batches/%E0%A4%A').page).toEqual({ name: 'batch', id: '%E0%A4%A' });
  });
});
