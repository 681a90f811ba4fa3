import { useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import type { FoundTopic, RejectedTopic } from '../../../shared/ports.ts';
import { browserClock } from '../browser-clock.ts';
import { momentNear, spanOf } from '../format/time.ts';
import { numberOf } from '../format/value.ts';
import { NotRead } from '../parts/not-read.tsx';
import { useAnswer } from '../parts/use-answer.ts';
import { site } from '../screen.ts';
import { farm as text } from '../text/farm.ts';

interface Answer {
  topics: FoundTopic[];
  rejected: RejectedTopic[];
}

const renewMs = 10_000;

/** What the broker carries that nobody placed, and what arrives but cannot be used. */
export function Found({ zone, now }: { zone: string; now: number }) {
  const round = useSignal(0);
  useEffect(
    () =>
      browserClock.every(renewMs, () => {
        round.value += 1;
      }),
    [],
  );
  const asked = useAnswer<Answer>(`${site.value.base}/found`, round.value);
  const { topics, rejected } = asked.value ?? { topics: [], rejected: [] };
  const foundHead = text.foundHead;
  const rejectedHead = text.rejectedHead;
  return (
    <>
      <section class="card farm-wide" aria-labelledby="found">
        <h2 id="found">{text.found}</h2>
        <NotRead asked={asked} />
        {topics.length === 0 ? (
          <p class="quiet">{text.foundNone}</p>
        ) : (
          <div class="table-wrap">
            <table class="stack">
              <thead>
                <tr>
                  <th scope="col">{foundHead.topic}</th>
                  <th scope="col">{foundHead.payload}</th>
                  <th scope="col">{foundHead.guess}</th>
                  <th scope="col" class="number">
                    {foundHead.rate}
                  </th>
                  <th scope="col">{foundHead.seen}</th>
                </tr>
              </thead>
              <tbody>
                {topics.map(({ topic, lastPayload, guess, perMinute, lastAt }) => (
                  <tr key={topic}>
                    <td>
                      <strong>{topic}</strong>
                    </td>
                    <td class="payload">
                      <code>{lastPayload}</code>
                    </td>
                    <td>{guess}</td>
                    <td class="number">{numberOf(perMinute, 1)}</td>
                    <td class="when">{text.ago(spanOf(now - lastAt))}</td>
                  </tr>
                ))}
              </tbody>
            </table>
          </div>
        )}
      </section>
      <section class="card farm-wide" aria-labelledby="rejected">
        <h2 id="rejected">{text.rejected}</h2>
        {rejected.length === 0 ? (
          <p class="quiet">{text.rejectedNone}</p>
        ) : (
          <div class="table-wrap">
            <table class="stack">
              <thead>
                <tr>
                  <th scope="col">{rejectedHead.topic}</th>
                  <th scope="col" class="number">
                    {rejectedHead.count}
                  </th>
                  <th scope="col">{rejectedHead.reason}</th>
                  <th scope="col">{rejectedHead.payload}</th>
                  <th scope="col">{rejectedHead.seen}</th>
                </tr>
              </thead>
              <tbody>
                {rejected.map(({ topic, count, lastReason, lastPayload, lastAt }) => (
                  <tr key={topic}>
                    <td>
                      <strong>{topic}</strong>
                    </td>
                    <td class="number">{count}</td>
                    <td>{lastReason}</td>
                    <td class="payload">
                      <code>{lastPayload}</code>
                    </td>
                    <td class="when">{momentNear(lastAt, now, zone)}</td>
                  </tr>
                ))}
              </tbody>
            </table>
          </div>
        )}
      </section>
    </>
  );
}
