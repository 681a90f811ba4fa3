import { passwordLength } from '../../../shared/door-names.ts';
import { PlainField } from '../parts/plain-field.tsx';
import { doors as text } from '../text/doors.ts';
import { type Strength, strengthOf } from './strength.ts';

interface Props {
  id: string;
  label: string;
  /** Whose it is: their name makes no password stronger. */
  name?: string;
  value: string;
  problem?: string | undefined;
  onInput: (value: string) => void;
}

const levels: Record<Strength, number> = { short: 0, weak: 1, fair: 2, strong: 3 };

/** A password that is being chosen, with how strong it seems. */
export function NewPassword({ id, label, name = '', value, problem, onInput }: Props) {
  const strength = strengthOf(value, name);
  return (
    <div class="new-password">
      <PlainField
        {...{ id, label, value, problem, onInput }}
        type="password"
        autocomplete="new-password"
        hint={text.passwordHint(passwordLength.least)}
      />
      <p class="strength" data-strength={value === '' ? undefined : strength}>
        <meter min={0} max={3} value={value === '' ? 0 : levels[strength]} aria-label={text.strength} />{' '}
        <span role="status">{value === '' ? text.strength : text.strengths[strength]}</span>
      </p>
    </div>
  );
}

/** The same typed again, and whether it differs so far. */
export const PasswordAgain = ({
  first,
  value,
  onInput,
}: {
  first: string;
  value: string;
  onInput: (value: string) => void;
}) => (
  <PlainField
    id="door-again"
    label={text.again}
    type="password"
    autocomplete="new-password"
    problem={isDifferent(first, value) ? text.notSame : undefined}
    value={value}
    onInput={onInput}
  />
);
export const isDifferent = (first: string, again: string): boolean => again !== '' && again !== first;
