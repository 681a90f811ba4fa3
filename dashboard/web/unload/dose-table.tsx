import type { ComponentChildren } from 'preact';
import type { LiveState } from '../../../shared/live.ts';
import { link } from '../screen.ts';
import { batchName } from './names.ts';

interface Column<Row> {
  head: string;
  cell: (row: Row) => ComponentChildren;
  /** The row passes what it stands, and says so here. */
  isOver?: (row: Row) => boolean;
}

interface Props<Row> {
  live: LiveState;
  head: { what: string; shelf: string };
  rows: readonly Row[];
  columns: readonly Column<Row>[];
}

/** Batches on their shelves, each a row with what heat does to it. */
export function DoseTable<Row extends { cohort: string; batch: string; shelf: string }>({
  live,
  head,
  rows,
  columns,
}: Props<Row>) {
  return (
    <div class="table-wrap">
      <table class="stack">
        <thead>
          <tr>
            <th scope="col">{head.what}</th>
            <th scope="col">{head.shelf}</th>
            {columns.map((column) => (
              <th scope="col" class="number" key={column.head}>
                {column.head}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map((row) => (
            <tr key={row.cohort}>
              <td>
                <a class="row-link" href={link({ name: 'batch', id: row.batch })}>
                  {batchName(row.batch, live)}
                </a>
              </td>
              <td>{row.shelf}</td>
              {columns.map((column) => (
                <td
                  class={column.isOver?.(row) ? 'number dose-over' : 'number'}
                  data-label={column.head}
                  key={column.head}
                >
                  {column.cell(row)}
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}
