import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod';
import { alarmDetail } from '../../../shared/alarm-detail.ts';
import { alarmView } from '../../../shared/alarms.ts';
import {
  alarmActRequest,
  alarmQuery,
  journal,
  journalCsvQuery,
  journalQuery,
} from '../../../shared/api/alarms.ts';
import { siteParams } from '../../../shared/api/sites.ts';
import type { ServerContext } from '../context.ts';
import { whoOf } from '../doors/who.ts';
import { journalCsv } from '../journal-csv.ts';
import { alarmChanges } from '../limits.ts';
import { answers, textAnswer } from '../schemas.ts';

const tags = ['alarms'];
const csvType = 'text/csv; charset=utf-8';

/** Acting on alarms, and what happened to them. The live list comes with the live state. */
export const alarmRoutes: FastifyPluginAsyncZod<ServerContext> = async (app, { site }) => {
  app.post(
    '/alarms/act',
    {
      config: alarmChanges,
      schema: {
        tags,
        operationId: 'actOnAlarm',
        summary: 'Acknowledges, resets, shelves or takes an alarm out of service; answers its new state',
        params: siteParams,
        body: alarmActRequest,
        response: answers({ 200: alarmView }),
      },
    },
    async (request) => {
      const { alarm, who, ...act } = request.body;
      return site(request.params.site, request).actOnAlarm(alarm, act, whoOf(request, who));
    },
  );

  app.get(
    '/alarms/detail',
    {
      schema: {
        tags,
        operationId: 'getAlarm',
        summary: 'One alarm: what to do, its rule, curves, prediction, bags at stake, journal and messages',
        params: siteParams,
        querystring: alarmQuery,
        response: answers({ 200: alarmDetail }),
      },
    },
    async (request) => site(request.params.site, request).alarm(request.query.alarm),
  );

  app.get(
    '/alarms/journal',
    {
      schema: {
        tags,
        operationId: 'getJournal',
        summary: 'Every transition of alarms, newest first',
        params: siteParams,
        querystring: journalQuery,
        response: answers({ 200: journal }),
      },
    },
    async (request) => site(request.params.site, request).alarmJournal(request.query),
  );

  app.get(
    '/alarms/journal.csv',
    {
      config: { mayWait: true },
      schema: {
        tags,
        operationId: 'getJournalCsv',
        summary: 'The same as CSV, for a spreadsheet',
        params: siteParams,
        querystring: journalCsvQuery,
        response: answers({ 200: textAnswer('Journal lines, newest first', csvType) }),
      },
    },
    async (request, reply) =>
      reply
        .type(csvType)
        .header('content-disposition', 'attachment; filename="alarm-journal.csv"')
        .send(journalCsv(site(request.params.site, request).alarmJournal(request.query))),
  );
};
