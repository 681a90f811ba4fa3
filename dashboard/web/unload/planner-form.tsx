import type { FarmView } from '../../../shared/live.ts';
import { isOperator } from '../doors/entry.ts';
import { WhoField } from '../doors/who-field.tsx';
import { writingOf } from '../format/value.ts';
import { PlainField } from '../parts/plain-field.tsx';
import { settings } from '../settings.ts';
import { unload as text } from '../text/unload.ts';
import type { PlanDraft, PlanProblems } from './plan-draft.ts';
import { ownProbe, probesIn } from './probes.ts';
import { Stepper } from './stepper.tsx';

interface Props {
  farm: FarmView;
  /** Without probes that stand in a load already. */
  free: Pick<FarmView, 'channels'>;
  draft: PlanDraft;
  problems: PlanProblems;
  onChange: (part: Partial<PlanDraft>) => void;
  title: string;
}

/** The question: what comes in where, how hot, when, and what helps. */
export function PlannerForm({ farm, free, draft, problems, onChange, title }: Props) {
  const probes = probesIn(free, draft.room);
  const { unit } = writingOf('temperature', settings.value.temperature);
  return (
    <form
      class="card planner-form"
      aria-labelledby="planner"
      onSubmit={(event) => event.preventDefault()}
      noValidate
    >
      <h2 id="planner">{title}</h2>
      <Choice
        name="room"
        label={text.room}
        value={draft.room}
        choices={farm.rooms.map(({ id, name }) => [id, name] as const)}
        problem={problems.room}
        onChange={(room) => onChange({ room })}
      />
      <Choice
        name="container"
        label={text.container}
        value={draft.container}
        choices={farm.containers.map(({ id, name }) => [id, name] as const)}
        problem={problems.container}
        onChange={(container) => onChange({ container })}
      />
      <Stepper
        id="plan-count"
        label={text.count}
        value={draft.count}
        problem={problems.count}
        onInput={(count) => onChange({ count })}
      />
      <Either
        name="start"
        label={text.start}
        value={draft.start}
        choices={text.startWay}
        onChange={(start) => onChange({ start })}
      />
      {draft.start === 'cycle' ? null : (
        <PlainField
          id="plan-start"
          label={text.startTemp(unit)}
          value={draft.startTemp}
          inputMode="decimal"
          problem={problems.startTemp}
          onInput={(startTemp) => onChange({ startTemp })}
        />
      )}
      <Either
        name="when"
        label={text.when}
        value={draft.when}
        choices={text.whenWay}
        onChange={(when) => onChange({ when })}
      />
      {draft.when === 'now' ? null : (
        <div class={problems.at === undefined ? 'field' : 'field field-wrong'}>
          <label for="plan-at">{text.at}</label>
          <input
            id="plan-at"
            type="datetime-local"
            value={draft.at}
            aria-invalid={problems.at !== undefined}
            aria-describedby={problems.at === undefined ? undefined : 'plan-at-problem'}
            onInput={(event) => onChange({ at: event.currentTarget.value })}
          />
          {problems.at === undefined ? null : (
            <p class="field-problem" id="plan-at-problem">
              {problems.at}
            </p>
          )}
        </div>
      )}
      <fieldset class="helps">
        <legend>{text.helps}</legend>
        <label class="channel">
          <input
            type="checkbox"
            checked={draft.fan}
            onChange={(event) => onChange({ fan: event.currentTarget.checked })}
          />
          <span>{text.fan}</span>
        </label>
        <PlainField
          id="plan-cooling"
          label={text.cooling}
          value={draft.cooling}
          inputMode="decimal"
          problem={problems.cooling}
          onInput={(cooling) => onChange({ cooling })}
        />
      </fieldset>
      {isOperator.value && probes.length > 0 ? (
        <Choice
          name="probe"
          label={text.probe}
          value={draft.probe ?? ownProbe(free, draft.room) ?? ''}
          choices={[['', text.probeNone], ...probes.map(({ id, sensor }) => [id, sensor] as const)]}
          onChange={(probe) => onChange({ probe })}
        />
      ) : null}
      {isOperator.value ? <WhoField id="plan-who" label={text.who} hint={text.whoHint} /> : null}
    </form>
  );
}

interface ChoiceProps {
  name: string;
  label: string;
  value: string;
  choices: readonly (readonly [value: string, words: string])[];
  problem?: string | undefined;
  onChange: (value: string) => void;
}

function Choice({ name, label, value, choices, problem, onChange }: ChoiceProps) {
  return (
    <div class={problem === undefined ? 'field' : 'field field-wrong'}>
      <label for={`plan-${name}`}>{label}</label>
      <select
        id={`plan-${name}`}
        value={value}
        aria-invalid={problem !== undefined}
        aria-describedby={problem === undefined ? undefined : `plan-${name}-problem`}
        onChange={(event) => onChange(event.currentTarget.value)}
      >
        {choices.map(([one, words]) => (
          <option key={one} value={one}>
            {words}
          </option>
        ))}
      </select>
      {problem === undefined ? null : (
        <p class="field-problem" id={`plan-${name}-problem`}>
          {problem}
        </p>
      )}
    </div>
  );
}

interface EitherProps<T extends string> {
  name: string;
  label: string;
  value: T;
  choices: Readonly<Record<T, string>>;
  onChange: (value: T) => void;
}

/** One of two or three, side by side. */
function Either<T extends string>({ name, label, value, choices, onChange }: EitherProps<T>) {
  return (
    <fieldset class="either">
      <legend>{label}</legend>
      {(Object.keys(choices) as T[]).map((one) => (
        <label class="kind" key={one}>
          <input type="radio" name={`plan-${name}`} checked={value === one} onChange={() => onChange(one)} />
          <span>{choices[one]}</span>
        </label>
      ))}
    </fieldset>
  );
}
