/** Stable codes: tests, problem details and log searches rely on them. */
export type ErrorCode =
  | 'bad-request'
  | 'not-signed-in'
  | 'not-found'
  | 'conflict'
  | 'refused'
  | 'out-of-range'
  | 'too-many'
  | 'farm-file'
  | 'store'
  | 'store-newer'
  | 'transport'
  | 'delivery'
  | 'port-busy'
  | 'unavailable';

const statusOf: Record<ErrorCode, number> = {
  'bad-request': 400,
  'not-signed-in': 401,
  'not-found': 404,
  conflict: 409,
  refused: 403,
  'out-of-range': 422,
  'too-many': 429,
  'farm-file': 422,
  store: 500,
  'store-newer': 500,
  transport: 503,
  delivery: 502,
  'port-busy': 500,
  unavailable: 503,
};

/**
 * The one error that parts throw on purpose. The message says what, where and how to mend it,
 * in words that may be shown to a person; `details` never holds a secret.
 */
export class AppError extends Error {
  readonly code: ErrorCode;
  readonly status: number;
  readonly details: Readonly<Record<string, unknown>>;

  constructor(
    code: ErrorCode,
    message: string,
    options: { cause?: unknown; details?: Record<string, unknown> } = {},
  ) {
    super(message, options.cause === undefined ? undefined : { cause: options.cause });
    this.name = 'AppError';
    this.code = code;
    this.status = statusOf[code];
    this.details = options.details ?? {};
  }
}

/** The message of anything thrown. */
export const messageOf = (thrown: unknown): string =>
  thrown instanceof Error ? thrown.message : String(thrown);
