import type { FastifyRequest } from 'fastify';
import { doerOf } from './journal.ts';

/** The name that goes into a journal: of whoever is known to call; only the demo takes the name it is given. */
export const whoOf = (request: FastifyRequest, given: string): string =>
  doerOf(request.actor, request.ip).who || given;
