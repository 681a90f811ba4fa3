import type { ScalePlan } from './value-scale.ts';

interface Props {
  plan: ScalePlan;
  lowText: string | null;
  highText: string | null;
  /** The whole scale in words. */
  label: string;
}

const percent = (share: number): string => `${(share * 100).toFixed(1)}%`;

/** A value on its own scale: the allowed band with both limits numbered, a pointer, an arrow ahead. */
export function Scale({ plan, lowText, highText, label }: Props) {
  const { band, pointer, ahead } = plan;
  return (
    <div class={plan.outside ? 'scale scale-outside' : 'scale'} role="img" aria-label={label}>
      <div class="scale-track" />
      <div class="scale-band" style={{ left: percent(band.from), width: percent(band.to - band.from) }} />
      {plan.low === null ? null : <Limit at={plan.low} text={lowText} />}
      {plan.high === null ? null : <Limit at={plan.high} text={highText} />}
      {ahead === null ? null : <Ahead from={pointer} to={ahead} outside={plan.aheadOutside} />}
      <svg class="scale-pointer" style={{ left: percent(pointer) }} viewBox="0 0 24 20" aria-hidden="true">
        <path d="M1 1 H23 L12 19 Z" />
      </svg>
    </div>
  );
}

function Limit({ at, text }: { at: number; text: string | null }) {
  return (
    <div class="scale-limit" style={{ left: percent(at) }}>
      <span class="scale-tick" />
      <span class="scale-number">{text}</span>
    </div>
  );
}

function Ahead({ from, to, outside }: { from: number; to: number; outside: boolean }) {
  const [left, right] = from < to ? [from, to] : [to, from];
  const way = from < to ? 'ahead-up' : 'ahead-down';
  return (
    <div
      class={`scale-ahead ${way} ${outside ? 'ahead-outside' : ''}`}
      style={{ left: percent(left), width: percent(right - left) }}
    >
      <svg viewBox="0 0 14 20" aria-hidden="true">
        <path d="M2 2 L12 10 L2 18" />
      </svg>
    </div>
  );
}
