import { describe, expect, it } from 'vitest';
import { problemOf } from '../../../../dashboard/web/api.ts';
import { defaultSettings, readSettings } from '../../../../dashboard/web/settings.ts';

describe('a screen’s settings', () => {
  it('are the defaults at first', () => {
    expect(readSettings(null)).toEqual(defaultSettings);
  });

  it('come back as they were kept', () => {
    const kept = { theme: 'dark', temperature: 'F', acknowledgeKeys: ['F8'], sound: false, who: 'Ida' };
    expect(readSettings(JSON.stringify(kept))).toEqual(kept);
  });

  it.each(['{', 'null', '[]', '{"theme":3,"acknowledgeKeys":["",7],"who":{}}'])(
    'take the default for what makes no sense: %s',
    (kept) => expect(readSettings(kept)).toEqual(defaultSettings),
  );
});

describe('a refusal', () => {
  it('is said in the server’s words, by field where it names one', () => {
    const problem = problemOf(422, {
      title: 'Out of range',
      detail: 'Shelf Z9 is not in the farm file.',
      errors: [{ pointer: '/shelf', message: 'no such shelf' }],
    });
    expect(problem).toEqual({
      status: 422,
      text: 'Shelf Z9 is not in the farm file.',
      fields: { shelf: 'no such shelf' },
    });
  });

  it.each([null, 'busy', {}, { detail: 7 }])('without words gives the status: %j', (body) => {
    expect(problemOf(503, body).text).toBe('the server answered 503');
  });
});
