import { describe, expect, it } from 'vitest';
import {
  changeOf,
  defaultOf,
  draftOf,
  emptySpan,
  fieldsOf,
  heldSpans,
} from '../../../../../dashboard/web/alarms/limit-draft.ts';
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

  it('are not sent where one would not lie above the next, by what is typed or holds', () => {
    const draft = (change: object) => changeOf(band, { ...draftOf(band, 'C'), ...change }, 'C');
    expect(draft({ highHigh: '28' })).toEqual({ ok: false, field: 'highHigh', over: 'high' });
    expect(draft({ highHigh: '30', high: '31' })).toEqual({ ok: false, field: 'highHigh', over: 'high' });
    expect(draft({ low: '29' })).toEqual({ ok: false, field: 'high', over: 'low' });
    expect(draft({ high: '', lowLow: '29', low: '30' })).toMatchObject({ ok: true });
    expect(draft({ highHigh: '32', low: '20', lowLow: '15' })).toMatchObject({ ok: true });
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

  it('ring again after minutes, never, or as their urgency asks', () => {
    const draft = draftOf(band, 'F');
    expect(draft).toMatchObject({ reAlarmMin: '', neverAgain: false });
    const sent = (part: object, of = band) => changeOf(of, { ...draftOf(of, 'F'), ...part }, 'F');
    expect(sent({ reAlarmMin: '30', shelveCapMin: '90' })).toEqual({
      ...{ ok: true, set: { reAlarmMin: 30, shelveCapMin: 90 } },
    });
    expect(sent({ neverAgain: true })).toEqual({ ok: true, set: { reAlarmMin: false } });
    const never = { ...band, written: { high: 28, reAlarmMin: false as const } };
    expect(draftOf(never, 'F').neverAgain).toBe(true);
    expect(sent({}, never)).toEqual({ ok: true, set: {} });
    expect(sent({ neverAgain: false }, never)).toEqual({ ok: true, set: { reAlarmMin: null } });
    expect(sent({ neverAgain: false, reAlarmMin: '20' }, never)).toEqual({
      ok: true,
      set: { reAlarmMin: 20 },
    });
  });
});

describe('times of day in a form', () => {
  const unloading = { days: ['tue' as const], from: '13:00', to: '17:00', high: 33 };
  const timed = {
    ...band,
    written: { high: 28, during: [unloading] },
    holds: { ...band.holds, during: [unloading] },
  };

  it('are shown in the unit of the screen, and sent back as they were or changed', () => {
    const draft = draftOf(timed, 'F');
    expect(draft.during).toEqual([
      { days: ['tue'], from: '13:00', to: '17:00', high: '91.4', low: '', highHigh: '', lowLow: '' },
    ]);
    expect(changeOf(timed, draft, 'F')).toEqual({ ok: true, set: {} });
    const night = { ...emptySpan, from: '22.30', to: '6:00', high: '78,8' };
    expect(changeOf(timed, { ...draft, during: [...draft.during, night] }, 'F')).toEqual({
      ok: true,
      set: { during: [unloading, { from: '22:30', to: '06:00', high: 26 }] },
    });
    expect(changeOf(timed, { ...draft, during: [] }, 'F')).toEqual({ ok: true, set: { during: null } });
  });

  it.each([
    [{ from: '25:00' }, 'from'],
    [{ to: '' }, 'to'],
    [{ high: 'hot' }, 'high'],
  ])('with %j are named by number and field', (part, field) => {
    const [first] = draftOf(timed, 'C').during;
    const draft = { ...draftOf(timed, 'C'), during: [first!, { ...first!, ...part }] };
    expect(changeOf(timed, draft, 'C')).toEqual({ ok: false, field, span: 1 });
  });

  it('of a room are shown to its shelf while that has none of its own', () => {
    expect(heldSpans(timed, 'C')).toEqual([]);
    expect(heldSpans({ ...timed, written: {} }, 'C')).toHaveLength(1);
  });
});
