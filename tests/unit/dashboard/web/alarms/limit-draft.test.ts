import { describe, expect, it } from 'vitest';
import { changeOf, defaultOf, draftOf, fieldsOf } from '../../../../../dashboard/web/alarms/limit-draft.ts';
import { band } from '../../server/desk.ts';

describe('limits in a form', () => {
  it('show what is written, and the default in an empty field', () => {
    expect(draftOf(band, 'C')).toMatchObject({ high: '28', low: '', deadband: '' });
    expect(defaultOf(band, 'deadband', 'C')).toBe('0.2');
    expect(defaultOf(band, 'low', 'C')).toBeNull();
  });

  it('are sent only where they differ; an emptied field gives the default back', () => {
    const draft = { ...draftOf(band, 'C'), high: '', deadband: '0,5' };
    expect(changeOf(band, draft, 'C')).toEqual({ ok: true, set: { high: null, deadband: 0.5 } });
    expect(changeOf(band, draftOf(band, 'C'), 'C')).toEqual({ ok: true, set: {} });
  });

  it('in °F: a level moves with the zero point, a deadband does not, a delay stays', () => {
    const draft = draftOf(band, 'F');
    expect(draft.high).toBe('82.4');
    const changed = { ...draft, high: '80.6', deadband: '0.9', onDelayS: '90' };
    expect(changeOf(band, changed, 'F')).toEqual({
      ok: true,
      set: { high: 27, deadband: 0.5, onDelayS: 90 },
    });
    expect(changeOf(band, draft, 'F')).toEqual({ ok: true, set: {} });
  });

  it('and rates move with the step of the unit, urgency with none', () => {
    const draft = { ...draftOf(band, 'F'), risePerH: '3.6', priority: '1' };
    expect(changeOf(band, draft, 'F')).toEqual({ ok: true, set: { risePerH: 2, priority: 1 } });
    expect(fieldsOf({ measure: 'temperature' })).toContain('risePerH');
    expect(fieldsOf({ measure: 'core' })).not.toContain('risePerH');
  });

  it('that are no numbers are named', () => {
    expect(changeOf(band, { ...draftOf(band, 'C'), low: 'cold' }, 'C')).toEqual({ ok: false, field: 'low' });
  });
});
