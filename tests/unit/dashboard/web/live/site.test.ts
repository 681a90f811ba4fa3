import { describe, expect, it } from 'vitest';
import { createSite } from '../../../../../dashboard/web/live/site.ts';
import { createManualClock } from '../../../../../shared/manual-clock.ts';
import { fixtureNow, liveAt } from '../../../../browser/fixture/live.ts';

function openSite() {
  const clock = createManualClock(5_000);
  const listeners = new Map<string, (event: { data?: unknown }) => void>();
  const site = createSite({
    name: 'farm',
    clock,
    open: () => ({
      addEventListener: (type, listener) => void listeners.set(type, listener),
      close: () => {},
    }),
  });
  site.follow();
  const say = (type: string, data: unknown) => listeners.get(type)?.({ data: JSON.stringify(data) });
  return { clock, site, say };
}

describe('a site on a screen', () => {
  it('shows the site’s time, not the browser’s, and moves it on', () => {
    const { clock, site, say } = openSite();
    say('state', liveAt(fixtureNow, 'quiet'));
    expect(site.now.value).toBe(fixtureNow);
    clock.advanceBy(3_000);
    expect(site.now.value).toBe(fixtureNow + 3_000);
  });

  it('moves a training run’s time at its speed, and stands still while paused', () => {
    const { clock, site, say } = openSite();
    const run = { week: 'w', speed: 60, paused: false, startedAt: 0, endsAt: 1e15, ended: false };
    say('state', { ...liveAt(fixtureNow, 'quiet'), kind: 'training', run });
    clock.advanceBy(2_000);
    expect(site.now.value).toBe(fixtureNow + 120_000);
    say('change', { now: fixtureNow + 120_000, run: { ...run, paused: true } });
    clock.advanceBy(5_000);
    expect(site.now.value).toBe(fixtureNow + 120_000);
  });

  it('draws a burst of changes once, and loses none of them', () => {
    const { clock, site, say } = openSite();
    const state = liveAt(fixtureNow, 'quiet');
    say('state', state);
    clock.advanceBy(100);
    let draws = 0;
    const stop = site.state.subscribe(() => {
      draws += 1;
    });
    const value = (v: number) => ({ t: fixtureNow, value: v, quality: 'good', trendPerH: 0, silent: false });
    for (let at = 1; at <= 20; at += 1)
      say('change', { now: fixtureNow + at, channels: { [`c${at}`]: value(at) } });
    clock.advanceBy(50);
    stop();
    // The first subscription call, the first change at once, the other nineteen together.
    expect(draws).toBe(3);
    expect(site.state.value?.channels.c20?.value).toBe(20);
    expect(Object.keys(site.state.value?.channels ?? {})).toHaveLength(
      Object.keys(state.channels).length + 20,
    );
  });

  it('says since when it has not been heard, in the site’s time', () => {
    const { clock, site, say } = openSite();
    say('state', liveAt(fixtureNow, 'quiet'));
    clock.advanceBy(10_000);
    expect(site.outOfContact.value).toBe(true);
    expect(site.lastHeardAt.value).toBe(fixtureNow);
  });
});
