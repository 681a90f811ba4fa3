import type { ComponentChildren } from 'preact';
import type { Draft, DraftProblems } from './draft.ts';
import { changeDraft } from './open.ts';

interface FieldProps {
  name: keyof Draft;
  label: string;
  problems: DraftProblems;
  hint?: string;
  children: ComponentChildren;
}

/** A label, its field, and what is wrong with it right below. */
export function Field({ name, label, problems, hint, children }: FieldProps) {
  const problem = problems[name];
  return (
    <div class={problem === undefined ? 'field' : 'field field-wrong'}>
      <label for={`record-${name}`}>{label}</label>
      {children}
      {hint === undefined ? null : (
        <p class="field-hint" id={`record-${name}-hint`}>
          {hint}
        </p>
      )}
      {problem === undefined ? null : (
        <p class="field-problem" id={`record-${name}-problem`}>
          {problem}
        </p>
      )}
    </div>
  );
}

type TextName = { [K in keyof Draft]: Draft[K] extends string ? K : never }[keyof Draft];

interface InputProps {
  name: TextName;
  draft: Draft;
  problems: DraftProblems;
  label: string;
  hint?: string;
  type?: 'text' | 'datetime-local';
  inputMode?: 'numeric' | 'decimal' | 'text';
  list?: readonly string[];
}

export function TextField({
  name,
  draft,
  problems,
  label,
  hint,
  type = 'text',
  inputMode,
  list,
}: InputProps) {
  return (
    <Field name={name} label={label} problems={problems} {...(hint === undefined ? {} : { hint })}>
      <input
        id={`record-${name}`}
        type={type}
        value={draft[name]}
        inputMode={inputMode}
        autocomplete="off"
        aria-invalid={problems[name] !== undefined}
        aria-describedby={describedBy(name, hint, problems)}
        list={list === undefined ? undefined : `record-${name}-list`}
        onInput={(event) => changeDraft({ [name]: event.currentTarget.value })}
      />
      {list === undefined ? null : (
        <datalist id={`record-${name}-list`}>
          {list.map((item) => (
            <option key={item} value={item} />
          ))}
        </datalist>
      )}
    </Field>
  );
}

export interface Choice {
  value: string;
  text: string;
}

interface SelectProps {
  name: TextName;
  draft: Draft;
  problems: DraftProblems;
  label: string;
  /** Shown for the empty value; without it there is none. */
  empty?: string;
  choices: readonly (Choice | { group: string; choices: readonly Choice[] })[];
}

export function SelectField({ name, draft, problems, label, empty, choices }: SelectProps) {
  return (
    <Field name={name} label={label} problems={problems}>
      <select
        id={`record-${name}`}
        value={draft[name]}
        aria-invalid={problems[name] !== undefined}
        aria-describedby={describedBy(name, undefined, problems)}
        onChange={(event) => changeDraft({ [name]: event.currentTarget.value })}
      >
        {empty === undefined ? null : <option value="">{empty}</option>}
        {choices.map((choice) =>
          'group' in choice ? (
            <optgroup key={choice.group} label={choice.group}>
              {choice.choices.map(({ value, text }) => (
                <option key={value} value={value}>
                  {text}
                </option>
              ))}
            </optgroup>
          ) : (
            <option key={choice.value} value={choice.value}>
              {choice.text}
            </option>
          ),
        )}
      </select>
    </Field>
  );
}

const describedBy = (name: string, hint: string | undefined, problems: DraftProblems): string | undefined => {
  const ids = [
    hint === undefined ? '' : `record-${name}-hint`,
    problems[name as keyof Draft] === undefined ? '' : `record-${name}-problem`,
  ].filter((id) => id !== '');
  return ids.length > 0 ? ids.join(' ') : undefined;
};
