import { useSignal } from '@preact/signals';
import { NotRead } from '../parts/not-read.tsx';
import { useAnswer } from '../parts/use-answer.ts';
import { train as text } from '../text/train.ts';
import { SpeedChoice } from './speed-choice.tsx';

interface Week {
  id: string;
  name: string;
  text: string;
  days: number;
}

interface Props {
  busy: boolean;
  tell(what: string, body: object): Promise<boolean>;
}

export function WeekChoice({ busy, tell }: Props) {
  const weeks = useAnswer<Week[]>('/api/training/weeks');
  const chosen = useSignal<string | null>(null);
  const speed = useSignal(60);
  const week = chosen.value ?? weeks.value?.[0]?.id ?? null;
  const start = (event: Event) => {
    event.preventDefault();
    if (week !== null && !busy) void tell('start', { week, speed: speed.value });
  };
  return (
    <form class="card week-choice" onSubmit={start}>
      <fieldset class="weeks">
        <legend>{text.choose}</legend>
        <NotRead asked={weeks} />
        {(weeks.value ?? []).map(({ id, name, text: words, days }) => (
          <label class="week" key={id}>
            <input
              type="radio"
              name="week"
              checked={id === week}
              onChange={() => {
                chosen.value = id;
              }}
            />
            <span>
              <strong>{name}</strong> <span class="quiet">{text.days(days)}</span>
              <br />
              {words}
            </span>
          </label>
        ))}
      </fieldset>
      <SpeedChoice
        speed={speed.value}
        onChange={(next) => {
          speed.value = next;
        }}
      />
      <button type="submit" class="button button-chief" aria-disabled={busy || week === null}>
        {busy ? text.starting : text.start}
      </button>
    </form>
  );
}
