import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod';
import * as api from '../../../../shared/api/doors.ts';
import type { Doors } from '../../doors/doors.ts';
import { doorChanges } from '../../limits.ts';
import { answers } from '../../schemas.ts';

const tags = ['doors'];

/** Devices of the built-in broker. */
export const deviceRoutes: FastifyPluginAsyncZod<{ doors: Doors }> = async (app, { doors }) => {
  const { devices, journal } = doors;

  app.get(
    '',
    {
      schema: {
        tags,
        operationId: 'getDevices',
        summary: 'Every device that may connect to the built-in broker',
        response: answers({ 200: api.devices }),
      },
    },
    async () => ({ broker: doors.brokerAt() ?? null, alarmTopics: doors.alarmTopics, list: devices.list() }),
  );

  app.post(
    '',
    {
      config: doorChanges,
      schema: {
        tags,
        operationId: 'makeDevice',
        summary:
          'Makes user and password for a device; the password is in this answer and nowhere afterwards',
        body: api.makeDevice,
        response: answers({ 201: api.madeDevice }),
      },
    },
    async (request, reply) => {
      const { name, topic, hears } = request.body;
      const doer = doors.doer(request);
      const made = devices.make(name, topic, hears, doer.who);
      journal.write(doer, 'make-device', name, null, { topic, hears });
      return reply.code(201).send(made);
    },
  );

  app.post(
    '/:id/revoke',
    {
      config: doorChanges,
      schema: {
        tags,
        operationId: 'revokeDevice',
        summary: 'Shuts a device out; its connection ends at once',
        params: api.idParams,
        body: api.nothing,
        response: answers({ 200: api.done }),
      },
    },
    async (request) => {
      const device = devices.revoke(request.params.id);
      journal.write(doors.doer(request), 'revoke-device', device.name);
      return { done: true } as const;
    },
  );
};
