import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod';
import { z } from 'zod';
import {
  changePause,
  changeSpeed,
  startTraining,
  stopTraining,
  trainingReport,
  trainingState,
  trainingWeek,
} from '../../../shared/api/training.ts';
import type { ServerContext } from '../context.ts';
import { changes } from '../limits.ts';
import { answers } from '../schemas.ts';

const tags = ['training'];

/** Starting, steering and looking back on a training run. What happens in it is the site `training`. */
export const trainingRoutes: FastifyPluginAsyncZod<ServerContext> = async (app, { training, streams }) => {
  const state = () => {
    streams.refresh();
    return { run: training.site()?.live().run ?? null };
  };
  const response = answers({ 200: trainingState });

  app.get(
    '/weeks',
    {
      schema: {
        tags,
        operationId: 'getWeeks',
        summary: 'Weeks that can be run',
        response: answers({ 200: z.array(trainingWeek) }),
      },
    },
    async () => training.weeks(),
  );
  app.get(
    '/report',
    {
      schema: {
        tags,
        operationId: 'getReport',
        summary: 'What happened in the run and when it was seen, oldest first',
        response: answers({ 200: trainingReport }),
      },
    },
    async () => training.report(),
  );
  app.post(
    '/start',
    {
      config: changes,
      schema: { tags, operationId: 'startRun', summary: 'Starts a week', body: startTraining, response },
    },
    async ({ body }) => {
      await training.start(body.week, body.speed);
      return state();
    },
  );
  app.post(
    '/speed',
    {
      config: changes,
      schema: { tags, operationId: 'setSpeed', summary: 'Times real time', body: changeSpeed, response },
    },
    async ({ body }) => {
      training.setSpeed(body.speed);
      return state();
    },
  );
  app.post(
    '/pause',
    {
      config: changes,
      schema: { tags, operationId: 'setPause', summary: 'Pauses or goes on', body: changePause, response },
    },
    async ({ body }) => {
      training.setPaused(body.paused);
      return state();
    },
  );
  app.post(
    '/stop',
    {
      config: changes,
      schema: { tags, operationId: 'stopRun', summary: 'Ends the run', body: stopTraining, response },
    },
    async () => {
      await training.stop();
      return state();
    },
  );
};
