import type { ComponentChildren } from 'preact';
import { NotRead } from '../parts/not-read.tsx';
import type { Asked } from '../parts/use-answer.ts';
import { doors as text } from '../text/doors.ts';
import { SecretOnce } from './secret-once.tsx';
import type { Sending } from './send.ts';

interface Column<Row> {
  head: string;
  /** A moment, which does not break. */
  isWhen?: boolean;
  cell: (row: Row) => ComponentChildren;
}

interface Props<Row> {
  /** Name of the part in the page, for its heading. */
  id: string;
  title: string;
  /** Said above the list. */
  note?: string | null;
  sending: Sending;
  /** What was just made and is shown once. */
  secret: { words: string; secret: string } | null;
  /** Whether the list could be read. */
  asked: Pick<Asked<unknown>, 'failed' | 'again'>;
  rows: readonly Row[] | null;
  /** Stands where the list is empty. */
  none?: string | undefined;
  columns: readonly Column<Row>[];
  /** What may be done to a row, in its last column. */
  acts: (row: Row) => ComponentChildren;
  /** Null where none can be made. */
  form: {
    title: string;
    act: string;
    /** Whether enough is filled in. */
    ready: boolean;
    onSend: () => void;
    fields: ComponentChildren;
  } | null;
}

/** People, walls, keys or devices: what was refused, what is shown once, the list, and the form for one more. */
export function DoorsCard<Row extends { id: string; name: string }>({
  id,
  title,
  note = null,
  sending: { problem, busy },
  secret,
  asked,
  rows,
  none,
  columns,
  acts,
  form,
}: Props<Row>) {
  return (
    <section class="card doors-card" aria-labelledby={id}>
      <h2 id={id}>{title}</h2>
      {note === null ? null : <p class="quiet">{note}</p>}
      {problem.value === null ? null : (
        <p class="doors-refused" role="alert">
          {problem.value.text}
        </p>
      )}
      {secret === null ? null : <SecretOnce key={secret.secret} {...secret} />}
      <NotRead asked={asked} />
      {rows?.length === 0 && none !== undefined ? <p class="quiet">{none}</p> : null}
      {rows === null || rows.length === 0 ? null : (
        <div class="table-wrap">
          <table class="stack">
            <thead>
              <tr>
                <th scope="col">{text.rowName}</th>
                {columns.map(({ head }) => (
                  <th scope="col" key={head}>
                    {head}
                  </th>
                ))}
                <th scope="col">{text.rowActs}</th>
              </tr>
            </thead>
            <tbody>
              {rows.map((row) => (
                <tr key={row.id}>
                  <td>
                    <strong>{row.name}</strong>
                  </td>
                  {columns.map(({ head, isWhen, cell }) => (
                    <td key={head} class={isWhen ? 'when' : undefined} data-label={isWhen ? head : undefined}>
                      {cell(row)}
                    </td>
                  ))}
                  <td>
                    <span class="doors-acts">{acts(row)}</span>
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      )}
      {form === null ? null : (
        <form
          class="doors-form"
          onSubmit={(event) => {
            event.preventDefault();
            form.onSend();
          }}
        >
          <h3>{form.title}</h3>
          {form.fields}
          <button type="submit" class="button" disabled={busy.value || !form.ready}>
            {form.act}
          </button>
        </form>
      )}
    </section>
  );
}

/** A button of a row: what it does, and to whom for those who hear the page. */
export const RowAct = ({ words, name, onAct }: { words: string; name: string; onAct: () => unknown }) => (
  <button type="button" class="button" onClick={() => void onAct()}>
    {words}
    <span class="unseen"> {name}</span>
  </button>
);
