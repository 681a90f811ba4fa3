import { AppError } from '../../shared/errors.ts';

/**
 * True when the very same event is recorded already, so that sending twice records once.
 *
 * @param recorded the event under this id as it was stored, or undefined.
 * @throws AppError 'conflict' when another stands under its id.
 */
export function isRepeatedEvent(event: { id: string }, recorded: string | undefined): boolean {
  if (recorded === undefined) return false;
  if (recorded === JSON.stringify(event)) return true;
  throw new AppError(
    'conflict',
    `An event with the id '${event.id}' is recorded already and says something else. Give this one an id of its own.`,
  );
}
