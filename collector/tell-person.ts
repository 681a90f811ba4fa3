import { randomUUID } from 'node:crypto';
import type { AccessNews } from '../shared/doors.ts';
import type { Farm } from '../shared/farm/farm.ts';
import type { Mailer } from '../shared/ports.ts';

interface TellerNeeds {
  farm: () => Farm;
  mailer: Pick<Mailer, 'send'>;
  /** Told when a message could not be handed over; the journal of doors has the line all the same. */
  onProblem: (words: string, thrown: unknown) => void;
}

const words: Record<AccessNews['act'], string> = {
  'change-password': 'The password was changed; other devices are signed out.',
  join: 'A link was taken up and a password chosen with it; other devices are signed out.',
  'invite-again': 'A new link was made, with which whoever holds it chooses a new password.',
  'change-person': 'Name, role or right to enter was changed.',
};

const sameName = (a: string, b: string): boolean =>
  a.normalize('NFKC').toLowerCase() === b.normalize('NFKC').toLowerCase();

/**
 * Tells people by email that how they enter was changed, as far as the farm file knows an address: that of
 * whoever has the same name there.
 */
export function createPersonTeller({ farm, mailer, onProblem }: TellerNeeds) {
  return ({ name, act, who, address, t }: AccessNews): void => {
    const { people, site } = farm().file;
    const to = people.find((person) => sameName(person.name, name))?.email;
    if (to === undefined) return;
    const at = new Date(t).toLocaleString('en-GB', {
      timeZone: site.timeZone,
      dateStyle: 'full',
      timeStyle: 'short',
    });
    const by = who === '' || sameName(who, name) ? 'under your own name' : `by ${who}`;
    const text = [
      words[act],
      '',
      `For: ${name}, at ${site.name}`,
      `When: ${at}`,
      `From: ${address}, ${by}`,
      '',
      'If that was not meant, ask an admin to shut the account out, under People and doors.',
    ];
    mailer
      .send({
        to,
        subject: `${site.name}: how you sign in was changed`,
        text: text.join('\n'),
        messageId: `<${randomUUID()}@${site.id}.shelfwarden>`,
      })
      .catch((thrown) => onProblem(`${name} could not be told that their access was changed`, thrown));
  };
}
