import type { FastifyReply, FastifyRequest } from 'fastify';
import type { FastifyPluginAsyncZod } from 'fastify-type-provider-zod';
import * as api from '../../../../shared/api/doors.ts';
import { AppError } from '../../../../shared/errors.ts';
import { dayMs } from '../../../../shared/time.ts';
import { clearCookie, readCookie, setCookie } from '../../doors/cookies.ts';
import type { Doors } from '../../doors/doors.ts';
import type { Person } from '../../doors/people.ts';
import { digestOf, readCode } from '../../doors/secrets.ts';
import { doorChanges, knocks } from '../../limits.ts';
import { answers } from '../../schemas.ts';

const tags = ['doors'];
const done = { done: true } as const;
/** How far back a person is told of changes. */
const toldMs = 90 * dayMs;

/** A request that came through somebody else's hands may come from anywhere. */
const isDirect = ({ ips, ip, headers }: FastifyRequest): boolean =>
  (ips === undefined || ips.length <= 1) &&
  headers['x-forwarded-for'] === undefined &&
  headers.forwarded === undefined &&
  (ip === '127.0.0.1' || ip === '::1' || ip === '::ffff:127.0.0.1');

/** Setting up, signing in and out, taking up an invitation. */
export const entryRoutes: FastifyPluginAsyncZod<{ doors: Doors }> = async (app, { doors }) => {
  const { people, sessions, journal, attempts } = doors;

  /** A new session, and the end of the one that this browser held. */
  const letIn = (request: FastifyRequest, reply: FastifyReply, { id }: Person) => {
    const held = readCookie(request, 'session');
    if (held !== undefined) sessions.close(digestOf(held));
    setCookie(request, reply, 'session', sessions.open(id, request.ip, request.headers['user-agent'] ?? ''));
  };
  const doerNamed = (request: FastifyRequest, who: string, via: string) => ({
    who,
    via,
    address: request.ip,
  });

  app.get(
    '',
    {
      schema: {
        tags,
        operationId: 'getEntry',
        summary: 'How the doors stand, and who one is',
        response: answers({ 200: api.entry }),
      },
    },
    async (request) => ({
      open: doors.open,
      setUp: people.isSetUp(),
      needsCode: !isDirect(request),
      me: request.actor,
    }),
  );

  app.post(
    '/set-up',
    {
      config: knocks,
      schema: {
        tags,
        operationId: 'setUp',
        summary: 'Makes the first person, an admin, and signs them in',
        description:
          'From this machine itself, or with the code that the console printed; only while there is nobody.',
        body: api.setUp,
        response: answers({ 201: api.done }),
      },
    },
    async (request, reply) => {
      const { name, password, code } = request.body;
      if (people.isSetUp()) throw new AppError('refused', 'Somebody has been set up already; sign in.');
      if (!isDirect(request)) {
        attempts.codes.check(request.ip);
        if (code === undefined || readCode(code) !== doors.setUpCode) {
          attempts.codes.wrong(request.ip);
          throw new AppError(
            'refused',
            'Give the code that the console of Shelfwarden printed at its start.',
          );
        }
      }
      const person = await people.addFirst(name, password);
      letIn(request, reply, person);
      journal.write(doerNamed(request, person.name, 'set-up'), 'set-up', person.name);
      return reply.code(201).send(done);
    },
  );

  app.post(
    '/sign-in',
    {
      config: knocks,
      schema: {
        tags,
        operationId: 'signIn',
        summary: 'Signs in; answers with a cookie',
        body: api.signIn,
        response: answers({ 200: api.done }),
      },
    },
    async (request, reply) => {
      const { name, password } = request.body;
      const pair = `${request.ip} ${name.normalize('NFKC').toLowerCase()}`;
      attempts.byAddress.check(request.ip);
      attempts.byAddressAndName.check(pair);
      const person = await people.signIn(name, password);
      if (person === undefined) {
        attempts.byAddress.wrong(request.ip);
        attempts.byAddressAndName.wrong(pair);
        journal.write(doerNamed(request, '', 'none'), 'sign-in-refused', name.slice(0, 60));
        throw new AppError('not-signed-in', 'Name or password is not right.');
      }
      attempts.byAddressAndName.right(pair);
      letIn(request, reply, person);
      journal.write(doerNamed(request, person.name, 'session'), 'sign-in', person.name);
      return done;
    },
  );

  app.post(
    '/sign-out',
    {
      config: knocks,
      schema: {
        tags,
        operationId: 'signOut',
        summary: 'Ends the session of this browser',
        body: api.nothing,
        response: answers({ 200: api.done }),
      },
    },
    async (request, reply) => {
      const { actor } = request;
      if (actor.kind === 'person') {
        sessions.close(actor.session);
        journal.write(doors.doer(request), 'sign-out', actor.name);
        doors.shutOut();
      }
      clearCookie(request, reply, 'session');
      return done;
    },
  );

  app.post(
    '/join',
    {
      config: knocks,
      schema: {
        tags,
        operationId: 'join',
        summary: 'Takes up an invitation with a password, and signs in',
        body: api.join,
        response: answers({ 200: api.done }),
      },
    },
    async (request, reply) => {
      attempts.byAddress.check(request.ip);
      let person: Person;
      try {
        person = await people.join(request.body.link, request.body.password);
      } catch (thrown) {
        if (thrown instanceof AppError && thrown.code === 'refused') attempts.byAddress.wrong(request.ip);
        throw thrown;
      }
      sessions.closeAllOf(person.id);
      doors.shutOut();
      letIn(request, reply, person);
      journal.write(doerNamed(request, person.name, 'link'), 'join', person.name);
      return done;
    },
  );

  app.post(
    '/password',
    {
      config: knocks,
      schema: {
        tags,
        operationId: 'changePassword',
        summary: 'Changes one’s own password; other sessions end',
        body: api.newPassword,
        response: answers({ 200: api.done }),
      },
    },
    async (request, reply) => {
      const me = myself(request);
      attempts.byAddressAndName.check(`${request.ip} ${me.id}`);
      try {
        await people.changePassword(me.id, request.body.current, request.body.next);
      } catch (thrown) {
        if (thrown instanceof AppError && thrown.code === 'refused')
          attempts.byAddressAndName.wrong(`${request.ip} ${me.id}`);
        throw thrown;
      }
      sessions.closeAllOf(me.id);
      doors.shutOut();
      letIn(request, reply, people.get(me.id));
      journal.write(doors.doer(request), 'change-password', me.name);
      return done;
    },
  );

  app.get(
    '/sessions',
    {
      schema: {
        tags,
        operationId: 'getSessions',
        summary: 'Where one is signed in',
        response: answers({ 200: api.sessionViews }),
      },
    },
    async (request) => {
      const me = myself(request);
      return sessions.listOf(me.id).map((one) => ({
        ...one,
        id: one.id.slice(0, 8),
        here: one.id === me.session,
      }));
    },
  );

  app.get(
    '/changes',
    {
      schema: {
        tags,
        operationId: 'getAccessChanges',
        summary: 'What changed how one enters within three months, newest first',
        response: answers({ 200: api.accessChanges }),
      },
    },
    async (request) =>
      journal
        .aboutAccess(myself(request).name, doors.now() - toldMs)
        .map(({ act, who, address, t }) => ({ act, who, address, t })),
  );

  app.post(
    '/sign-out-elsewhere',
    {
      config: doorChanges,
      schema: {
        tags,
        operationId: 'signOutElsewhere',
        summary: 'Ends every session but this one',
        body: api.nothing,
        response: answers({ 200: api.done }),
      },
    },
    async (request) => {
      const me = myself(request);
      sessions.closeAllOf(me.id, me.session);
      doors.shutOut();
      journal.write(doors.doer(request), 'sign-out-elsewhere', me.name);
      return done;
    },
  );
};

function myself({ actor }: FastifyRequest) {
  if (actor.kind !== 'person')
    throw new AppError('conflict', 'Only somebody who has signed in by name has this.');
  return actor;
}
