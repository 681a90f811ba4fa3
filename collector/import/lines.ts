import { createReadStream, statSync } from 'node:fs';
import { AppError, messageOf } from '../../shared/errors.ts';

/** One line of a text file, with its number from 1 and the share of the file's bytes read so far. */
export type TakeLine = (line: string, number: number) => void;

const unreadable = (path: string, thrown: unknown): AppError =>
  new AppError('bad-request', `${path} cannot be read (${messageOf(thrown)}). Name an existing text file.`, {
    cause: thrown,
  });

/**
 * Reads a UTF-8 text file line by line, in pieces, however long it is. Ends of line may be LF or CRLF; a byte
 * order mark is left out; a last line without an end counts.
 *
 * @param onShare called after each piece with the share of the file read, 0-1
 * @returns how many lines there were.
 * @throws AppError 'bad-request' for a file that cannot be read or is not UTF-8 text; whatever `take` throws.
 */
export async function readLines(
  path: string,
  take: TakeLine,
  onShare: (share: number) => void = () => {},
): Promise<number> {
  let size: number;
  try {
    size = statSync(path).size;
  } catch (thrown) {
    throw unreadable(path, thrown);
  }
  const stream = createReadStream(path, { encoding: 'utf8', highWaterMark: 1 << 18 });
  const pieces = stream[Symbol.asyncIterator]() as AsyncIterator<string>;
  let rest = '';
  let number = 0;
  for (;;) {
    let piece: IteratorResult<string>;
    try {
      piece = await pieces.next();
    } catch (thrown) {
      throw unreadable(path, thrown);
    }
    if (piece.done === true) break;
    const text = number === 0 && rest === '' ? withoutMark(piece.value, path) : piece.value;
    const lines = (rest + text).split('\n');
    rest = lines.pop() as string;
    for (const line of lines) take(line.endsWith('\r') ? line.slice(0, -1) : line, ++number);
    onShare(size === 0 ? 1 : Math.min(1, stream.bytesRead / size));
  }
  if (rest !== '') take(rest, ++number);
  return number;
}

function withoutMark(start: string, path: string): string {
  if (start.includes('\0') || start.startsWith('\uFFFD'))
    throw new AppError(
      'bad-request',
      `${path} is not UTF-8 text. Save or export it as UTF-8 (plain text, CSV).`,
    );
  return start.startsWith('\uFEFF') ? start.slice(1) : start;
}
