import { stringify } from 'csv-stringify/sync';
import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod';
import * as api from '../../../../shared/api/doors.ts';
import type { Doors } from '../../doors/doors.ts';
import type { DoorEntry } from '../../doors/journal.ts';
import { answers, textAnswer } from '../../schemas.ts';

const tags = ['doors'];

/** What was done at the doors and through them. */
export const doorJournalRoutes: FastifyPluginAsyncZod<{ doors: Doors }> = async (app, { doors }) => {
  app.get(
    '/journal',
    {
      schema: {
        tags,
        operationId: 'getDoorJournal',
        summary: 'Who did what, when and from where, newest first',
        querystring: api.doorQuery,
        response: answers({ 200: api.doorLines }),
      },
    },
    async ({ query }) => ({ firstBreak: doors.journal.firstBreak(), lines: doors.journal.read(query) }),
  );

  app.get(
    '/journal.csv',
    {
      schema: {
        tags,
        operationId: 'getDoorJournalCsv',
        summary: 'The same as a table',
        querystring: api.doorQuery,
        response: answers({ 200: textAnswer('CSV, RFC 4180.', 'text/csv') }),
      },
    },
    async ({ query }, reply) =>
      reply
        .type('text/csv; charset=utf-8')
        .header('content-disposition', 'attachment; filename="doors.csv"')
        .serializer(String)
        .send(tableOf(doors.journal.read(query))),
  );
};

const columns = ['seq', 'time', 'who', 'via', 'address', 'act', 'subject', 'before', 'after'];

const tableOf = (lines: readonly DoorEntry[]): string =>
  stringify(
    lines.map((line) => ({
      ...line,
      time: new Date(line.t).toISOString(),
      before: line.before === null ? '' : JSON.stringify(line.before),
      after: line.after === null ? '' : JSON.stringify(line.after),
    })),
    // What begins like a formula is kept from being one in a spreadsheet (OWASP, CSV Injection).
    { header: true, columns, escape_formulas: true },
  );
