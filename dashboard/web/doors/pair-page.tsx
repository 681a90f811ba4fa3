import '../styles/doors.css';
import { useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import { ask } from '../api.ts';
import { browserClock } from '../browser-clock.ts';
import { spanOf } from '../format/time.ts';
import { goTo } from '../screen.ts';
import { common } from '../text/common.ts';
import { doors as text } from '../text/doors.ts';
import { askEntry } from './entry.ts';

interface Asked {
  code: string;
  device: string;
  expiresAt: number;
}

const askEveryMs = 3_000;

/** A screen that waits to be let in: its code in large letters until somebody types it on a phone. */
export function PairPage() {
  const asked = useSignal<Asked | null>(null);
  const failed = useSignal<string | null>(null);
  const paired = useSignal(false);
  const endsAt = useSignal(0);
  const now = useSignal(browserClock.now());

  useEffect(() => {
    let gone = false;
    const renew = async () => {
      const answer = await ask<Asked>('/api/doors/walls/ask', {});
      if (gone) return;
      failed.value = answer.ok ? null : answer.problem.text;
      asked.value = answer.ok ? answer.value : null;
      endsAt.value = browserClock.now() + 10 * 60_000;
    };
    const look = async () => {
      now.value = browserClock.now();
      const held = asked.peek();
      if (held === null) return renew();
      const answer = await ask<{ paired: boolean }>('/api/doors/walls/claim', { device: held.device });
      if (gone) return;
      if (!answer.ok) return answer.problem.status === 404 ? renew() : undefined;
      if (!answer.value.paired) return;
      paired.value = true;
      await askEntry();
      goTo('/');
    };
    void renew();
    const cancel = browserClock.every(askEveryMs, () => void look());
    return () => {
      gone = true;
      cancel();
    };
  }, []);

  return (
    <main class="door door-pair">
      <p class="door-product">{common.product}</p>
      <h1>{text.pairTitle}</h1>
      <p class="door-code" role="status">
        {paired.value ? text.pairDone : (asked.value?.code ?? failed.value ?? text.working)}
      </p>
      <p>{text.pairText}</p>
      {asked.value === null || paired.value ? null : (
        <p class="quiet">{text.pairEnds(spanOf(Math.max(0, endsAt.value - now.value)))}</p>
      )}
    </main>
  );
}
