import type { StrainPage } from '../../../shared/api/strains.ts';
import { numberOf, percentOf, withUnit, writingOf } from '../format/value.ts';
import { settings } from '../settings.ts';
import { strain as text } from '../text/strain.ts';
import type { Trial } from './rate-trial.tsx';

const width = 480;
const height = 240;
const edge = { left: 44, right: 12, top: 22, bottom: 40 };

/**
 * Growth rate over core temperature as the strain is forecast with, and its limits; told as a table beside. A trial's
 * rates and the curve that fits them best are drawn with it.
 */
export function ResponsePlot({ page, trial }: { page: StrainPage; trial: Trial | null }) {
  const { points, warmLimitC, heatLimitC } = page.response;
  const writing = writingOf('temperature', settings.value.temperature);
  const first = points[0]!.tempC;
  const last = points.at(-1)!.tempC;
  const x = (tempC: number) =>
    edge.left + ((tempC - first) / (last - first)) * (width - edge.left - edge.right);
  const y = (share: number) => height - edge.bottom - share * (height - edge.top - edge.bottom);
  const line = points.map(({ tempC, share }) => `${x(tempC).toFixed(1)},${y(share).toFixed(1)}`).join(' ');
  const shownAt = (tempC: number) => numberOf(writing.shown(tempC), 0);
  const wholes = points.filter(({ tempC }) => tempC % 5 === 0);
  return (
    <section class="card" aria-labelledby="response">
      <h2 id="response">{text.response}</h2>
      <svg
        class="strain-plot"
        viewBox={`0 0 ${width} ${height}`}
        role="img"
        aria-label={text.responseLabel(page.name)}
      >
        {[0, 0.5, 1].map((share) => (
          <g key={share}>
            <line class="strain-rule" x1={edge.left} x2={width - edge.right} y1={y(share)} y2={y(share)} />
            <text x={edge.left - 6} y={y(share) + 4} text-anchor="end">
              {percentOf(share)}
            </text>
          </g>
        ))}
        {wholes.map(({ tempC }) => (
          <text key={tempC} x={x(tempC)} y={height - edge.bottom + 16} text-anchor="middle">
            {shownAt(tempC)}
          </text>
        ))}
        {(
          [
            [warmLimitC, text.warm, 'end'],
            [heatLimitC, text.heat, 'start'],
          ] as const
        ).map(([tempC, words, anchor]) => (
          <g key={words}>
            <line class="strain-limit" x1={x(tempC)} x2={x(tempC)} y1={edge.top} y2={height - edge.bottom} />
            <text x={x(tempC)} y={edge.top - 8} text-anchor={anchor}>
              {words}
            </text>
          </g>
        ))}
        <polyline class="strain-line" points={line} />
        {trial === null ? null : (
          <g>
            <polyline
              class="strain-trial-line"
              points={points
                .map(({ tempC }) => `${x(tempC).toFixed(1)},${y(trial.shareAt(tempC)).toFixed(1)}`)
                .join(' ')}
            />
            {trial.points.map(({ tempC, share }, index) => (
              <circle key={index} class="strain-trial-point" cx={x(tempC)} cy={y(share)} r="4" />
            ))}
          </g>
        )}
        <text x={(edge.left + width) / 2} y={height - 6} text-anchor="middle">
          {text.responseAxis(writing.unit)}
        </text>
      </svg>
      <table class="unseen">
        <caption>{text.responseTable}</caption>
        <thead>
          <tr>
            <th scope="col">{text.temperature}</th>
            <th scope="col">{text.share}</th>
          </tr>
        </thead>
        <tbody>
          {wholes.map(({ tempC, share }) => (
            <tr key={tempC}>
              <td>{withUnit(shownAt(tempC), writing.unit)}</td>
              <td>{percentOf(share)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}
