import type { Priority } from '../../shared/alarms.ts';
import type { OutgoingMail } from '../../shared/ports.ts';
import type { EpochMs } from '../../shared/time.ts';
import type { AlarmEffect } from '../state.ts';

export type MailReason = Extract<AlarmEffect, { type: 'annunciate' }>['because'] | 'returned';

/** What a message about an alarm says; everything as it was at the transition. */
export interface AlarmNews {
  alarm: string;
  reason: MailReason;
  title: string;
  advice: string;
  consequence: string;
  respondWithinMin: number;
  priority: Priority;
  /** The value that stood for it, and the limit it passed. */
  value: number | null;
  limit: number | null;
  /** When the condition began. */
  raisedAt: EpochMs;
  t: EpochMs;
  site: { id: string; name: string; timeZone: string };
  /** Why it comes to this person, where that is not plain. */
  note: string | null;
  /** Page of the alarm, where the site has an address. */
  link: string | null;
  /** Where this person may acknowledge it. */
  acknowledge: string | null;
}

/** A message as it waits in the outbox: rendered once, the same at every try and by every channel. */
export interface OutboxMessage extends Omit<OutgoingMail, 'to'> {
  /** What a webhook's receiver is told besides the words. */
  data?: Record<string, unknown>;
}

const reasonWords: Record<MailReason, string> = {
  raised: '',
  'raised-again': 'Again: ',
  're-alarm': 'Still: ',
  'back-in-view': 'Now in view: ',
  returned: 'Over: ',
};

const clockTime = (t: EpochMs, timeZone: string) =>
  new Intl.DateTimeFormat('en-GB', {
    timeZone,
    weekday: 'short',
    day: 'numeric',
    month: 'short',
    hour: '2-digit',
    minute: '2-digit',
    timeZoneName: 'short',
  }).format(t);

const minutesWords = (minutes: number) =>
  minutes < 120 ? `${minutes} min` : `${+(minutes / 60).toFixed(1)} h`;

/** Subject, text and HTML; the first line says what to do, since that is what a phone shows. */
export function alarmMailText(news: AlarmNews): Pick<OutgoingMail, 'subject' | 'text' | 'html'> {
  const over = news.reason === 'returned';
  const began = clockTime(news.raisedAt, news.site.timeZone);
  const first = over ? 'Nothing to do now: the condition is over.' : news.advice;
  const lines = [
    first,
    '',
    news.title,
    over ? `Began ${began}, over ${clockTime(news.t, news.site.timeZone)}.` : `Since ${began}.`,
    ...(over
      ? ['If nobody has acknowledged it, it still waits on the alarm list.']
      : [`If nobody acts: ${news.consequence}`, `Act within ${minutesWords(news.respondWithinMin)}.`]),
    ...(news.note === null ? [] : [news.note]),
    ...(news.acknowledge === null || over ? [] : ['', `Acknowledge: ${news.acknowledge}`]),
    ...(news.link === null ? [] : ['', `See it: ${news.link}`]),
    '',
    `Priority ${news.priority}. ${news.site.name}, alarm ${news.alarm}.`,
    'This tool advises; it is not a safety system.',
  ];
  return {
    subject: `${reasonWords[news.reason]}${news.title}`,
    text: `${lines.join('\n')}\n`,
    html: htmlOf(first, lines.slice(2)),
  };
}

/** Several messages that waited together, as one: what to do stands first here too. */
export function gatheredMailText(
  messages: readonly Pick<OutboxMessage, 'subject' | 'text'>[],
): Pick<OutgoingMail, 'subject' | 'text' | 'html'> {
  const first = `${messages.length} messages of low priority waited for you.`;
  const lines = messages.flatMap(({ subject, text }) => ['', `* ${subject}`, ...text.trim().split('\n')]);
  return {
    subject: `${messages.length} messages: ${messages[0]!.subject}, and more`,
    text: `${[first, ...lines].join('\n')}\n`,
    html: htmlOf(first, lines),
  };
}

const escapes: Record<string, string> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;' };
const escaped = (text: string) => text.replace(/[&<>"]/g, (sign) => escapes[sign]!);

const labelled = /^(Acknowledge|See it): (https?:\/\/\S+)$/;

/** Text lines as HTML; a line that is a label and an address becomes a link. */
export function htmlOf(first: string, rest: readonly string[]): string {
  const body = rest
    .map((line) => {
      if (line === '') return '<br>';
      const link = labelled.exec(line);
      return link === null
        ? `<p>${escaped(line)}</p>`
        : `<p><a href="${escaped(link[2]!)}">${escaped(link[1]!)}</a></p>`;
    })
    .join('\n');
  return `<!doctype html>
<html lang="en"><body style="font: 16px/1.4 sans-serif; color: #20242a">
<p style="font-size: 20px; font-weight: bold">${escaped(first)}</p>
${body}
</body></html>
`;
}

/**
 * Message-ID of one transition to one person: the same at every try, so that a mail server or reader can
 * drop a repeat; never used again, even by a site that starts with an empty database (the time is in it).
 */
export const messageIdOf = (transition: string, recipient: string, siteId: string): string =>
  `<${transition}.${recipient}@${siteId}.shelfwarden.invalid>`;
