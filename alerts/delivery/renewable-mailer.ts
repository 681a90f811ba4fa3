import type { Mailer } from '../../shared/ports.ts';

/** A mailer that can be exchanged while messages are on their way: those end with the one they began with. */
export function createRenewableMailer(first: Mailer) {
  let current = first;
  return {
    send: (mail) => current.send(mail),
    trial: (mail) => current.trial(mail),
    close: () => current.close(),
    renew(next: Mailer): void {
      const before = current;
      current = next;
      before.close();
    },
  } satisfies Mailer & { renew: (next: Mailer) => void };
}
