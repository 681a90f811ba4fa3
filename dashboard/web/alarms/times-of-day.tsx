import { useRef } from 'preact/hooks';
import { limits as text, weekdays } from '../text/limits.ts';
import { emptySpan, levelFields, type SpanDraft, type Unread } from './limit-draft.ts';

interface Props {
  /** Beginning of the ids of its fields. */
  id: string;
  unit: string;
  spans: readonly SpanDraft[];
  /** Those that hold while nothing is written here: a room's, for its shelf. */
  held: readonly SpanDraft[];
  wrong: Unread | null;
  /** Id of what says what is wrong. */
  problemId: string;
  onChange(spans: readonly SpanDraft[]): void;
}

/** Other levels at certain times: a room that is allowed warmer while hot loads are unloaded. */
export function TimesOfDay({ id, unit, spans, held, wrong, problemId, onChange }: Props) {
  const adding = useRef<HTMLButtonElement>(null);
  const inherits = spans.length === 0 && held.length > 0;
  const put = (index: number, part: Partial<SpanDraft>) =>
    onChange(spans.map((span, at) => (at === index ? { ...span, ...part } : span)));
  return (
    <fieldset class="times-of-day">
      <legend>{text.times.title}</legend>
      <p class="quiet">
        {inherits ? text.times.fromRoom(held.map(text.times.inWords).join('; ')) : text.times.hint}
      </p>
      {spans.map((span, index) => (
        <Span
          // Spans are told apart by where they stand: the first that fits counts.
          key={index}
          {...{ id: `${id}-${index}`, unit, span, number: index + 1 }}
          wrong={wrong?.span === index ? wrong.field : null}
          problemId={problemId}
          onChange={(part) => put(index, part)}
          onRemove={() => {
            // The next one moves up under the finger; after the last stands what adds one.
            if (index === spans.length - 1) adding.current?.focus();
            onChange(spans.filter((_, at) => at !== index));
          }}
        />
      ))}
      <p>
        <button
          type="button"
          class="button"
          ref={adding}
          onClick={() => onChange(inherits ? held : [...spans, emptySpan])}
        >
          {inherits ? text.times.own : text.times.add}
        </button>
      </p>
    </fieldset>
  );
}

interface SpanProps {
  id: string;
  unit: string;
  number: number;
  span: SpanDraft;
  wrong: string | null;
  problemId: string;
  onChange(part: Partial<SpanDraft>): void;
  onRemove(): void;
}

function Span({ id, unit, number, span, wrong, problemId, onChange, onRemove }: SpanProps) {
  const field = (name: 'from' | 'to' | (typeof levelFields)[number], label: string, placeholder: string) => (
    <div class={wrong === name ? 'field field-wrong' : 'field'} key={name}>
      <label for={`${id}-${name}`}>{label}</label>
      <input
        id={`${id}-${name}`}
        inputMode={name === 'from' || name === 'to' ? 'text' : 'decimal'}
        autocomplete="off"
        value={span[name]}
        placeholder={placeholder}
        aria-invalid={wrong === name}
        aria-describedby={wrong === name ? problemId : undefined}
        onInput={(event) => onChange({ [name]: event.currentTarget.value })}
      />
    </div>
  );
  return (
    <fieldset class="time-of-day">
      <legend class="unseen">{text.times.one(number)}</legend>
      <div class="time-days">
        {weekdays.map(({ day, name }) => (
          <label class="kind" key={day}>
            <input
              type="checkbox"
              checked={span.days.includes(day)}
              onChange={(event) => {
                const on = event.currentTarget.checked;
                onChange({
                  days: weekdays
                    .map((one) => one.day)
                    .filter((one) => (one === day ? on : span.days.includes(one))),
                });
              }}
            />
            <span>{name}</span>
          </label>
        ))}
        <span class="quiet">{span.days.length === 0 ? text.times.everyDay : ''}</span>
      </div>
      <div class="limit-fields">
        {field('from', text.times.from, '13:00')}
        {field('to', text.times.to, '17:00')}
        {levelFields.map((level) => field(level, `${text.field[level]} ${unit}`, text.times.asElse))}
      </div>
      <p>
        <button type="button" class="button" onClick={onRemove}>
          {text.times.remove}
          <span class="unseen"> {number}</span>
        </button>
      </p>
    </fieldset>
  );
}
