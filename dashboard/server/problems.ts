import { STATUS_CODES } from 'node:http';
import type { FastifyError, FastifyReply, FastifyRequest } from 'fastify';
import { hasZodFastifySchemaValidationErrors } from 'fastify-type-provider-zod';
import type { z } from 'zod';
import type { FieldProblem, ProblemDetails } from '../../shared/api/problem.ts';
import { AppError } from '../../shared/errors.ts';
import { explainIssues } from '../../shared/problems/explain.ts';

export const problemType = 'application/problem+json';

type Problem = Pick<ProblemDetails, 'status' | 'code' | 'detail' | 'errors'> & { retryAfterS?: number };

/** What the framework refuses before a route is reached, in our words. */
const frameworkProblems: Record<string, Pick<Problem, 'code' | 'detail'>> = {
  FST_ERR_CTP_INVALID_MEDIA_TYPE: {
    code: 'not-json',
    detail: 'A change must be sent as JSON: set content-type to application/json.',
  },
  FST_ERR_CTP_BODY_TOO_LARGE: {
    code: 'too-large',
    detail: 'The body is larger than any request here needs (64 kB).',
  },
  FST_ERR_CTP_EMPTY_JSON_BODY: { code: 'not-json', detail: 'The body is empty; send at least {}.' },
  FST_ERR_CTP_INVALID_JSON_BODY: {
    code: 'not-json',
    detail: 'The body is not JSON; check quotes, commas and brackets.',
  },
  FST_ERR_CTP_INVALID_CONTENT_LENGTH: {
    code: 'bad-request',
    detail: 'The body does not have the length it announces.',
  },
  FST_ERR_BAD_URL: { code: 'bad-request', detail: 'The address holds a % that begins no valid character.' },
};

/** The problem details of anything thrown. What is not meant for people stays inside. */
export function problemOf(error: FastifyError | AppError, request: FastifyRequest): Problem {
  if (error instanceof AppError) {
    const { status, code, message: detail, details } = error;
    return typeof details.retryAfterS === 'number'
      ? { status, code, detail, retryAfterS: details.retryAfterS }
      : { status, code, detail };
  }
  if (hasZodFastifySchemaValidationErrors(error))
    return validationProblem(error.validationContext ?? 'body', request);
  const status = error.statusCode ?? 500;
  const known = frameworkProblems[error.code];
  if (known !== undefined) return { status, ...known };
  if (status === 429) return { status, code: 'too-many', detail: error.message };
  if (status >= 400 && status < 500)
    return { status, code: 'bad-request', detail: `The request was refused: ${error.message}.` };
  if (status === 503)
    return {
      status,
      code: 'unavailable',
      detail: 'Busy just now; alarms go on. Try again in a few seconds.',
    };
  const detail = `Something went wrong inside; the log has it under ${request.id}. Nothing that was acknowledged is lost.`;
  return { status: 500, code: 'internal', detail };
}

type Context = 'body' | 'params' | 'querystring' | 'headers';

function validationProblem(context: string, request: FastifyRequest): Problem {
  const schema = (request.routeOptions.schema as Partial<Record<Context, z.ZodType>> | undefined)?.[
    context as Context
  ];
  const raw = context === 'querystring' ? request.query : request[context as Exclude<Context, 'querystring'>];
  const parsed = schema?.safeParse(raw);
  const findings =
    schema === undefined || parsed?.success !== false
      ? []
      : explainIssues(schema, raw, parsed.error.issues, undefined, 'json');
  const errors = findings.map(({ path, found, wanted, mend }): FieldProblem => {
    const steps = path.map((step) => String(step).replaceAll('~', '~0').replaceAll('/', '~1'));
    const pointer =
      context === 'body'
        ? `#${steps.map((step) => `/${encodeURIComponent(step)}`).join('')}`
        : steps.join('/');
    return { pointer, detail: `Found ${found}; wanted ${wanted}; ${mend}.`, found, wanted, mend };
  });
  const where = context === 'body' ? 'The body' : context === 'params' ? 'The address' : 'The query';
  const detail = `${where} cannot be used. ${errors.map((error) => error.detail).join(' ')}`.trim();
  return { status: 400, code: 'bad-request', detail, errors };
}

/** Answers with problem details, RFC 9457. */
export function sendProblem(request: FastifyRequest, reply: FastifyReply, problem: Problem): FastifyReply {
  const { status, code, detail, errors, retryAfterS } = problem;
  const body: ProblemDetails = {
    type: 'about:blank',
    title: STATUS_CODES[status] ?? 'Error',
    status,
    detail,
    code,
    instance: request.url.split('?', 1)[0]!,
    ...(errors === undefined ? {} : { errors }),
  };
  if (retryAfterS !== undefined) reply.header('retry-after', retryAfterS);
  if (status === 503 && !reply.hasHeader('retry-after')) reply.header('retry-after', 5);
  // RFC 9110, 15.5.2; a browser would open a window of its own for Basic, not for Bearer.
  if (status === 401) reply.header('www-authenticate', 'Bearer realm="Shelfwarden"');
  return reply.code(status).type(problemType).serializer(JSON.stringify).send(body);
}

/** The one error handler: says what may be said, logs what may not. */
export function handleError(
  error: FastifyError | AppError,
  request: FastifyRequest,
  reply: FastifyReply,
): FastifyReply {
  const problem = problemOf(error, request);
  // The route as it was declared: what stands in its place in the address may be a link that opens something.
  const route = `${request.method} ${request.routeOptions.url ?? 'unknown'}`;
  if (problem.status >= 500) request.log.error({ err: error, route }, 'request failed');
  return sendProblem(request, reply, problem);
}
