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
  /** When the condition began. */
  raisedAt: EpochMs;
  t: EpochMs;
  site: { id: string; name: string; timeZone: string };
  /** Page of the alarm, where the site has an address. */
  link: string | null;
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
    ...(news.link === null ? [] : ['', news.link]),
    '',
    `Priority ${news.priority}. ${news.site.name}, alarm ${news.alarm}.`,
    'This tool advises; it is not a safety system.',
  ];
  return {
    subject: `${reasonWords[news.reason]}${news.title}`,
    text: `${lines.join('\n')}\n`,
    html: htmlOf(first, lines.slice(2), news.link),
  };
}

const escapes: Record<string, string> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;' };
const escaped = (text: string) => text.replace(/[&<>"]/g, (sign) => escapes[sign]!);

function htmlOf(first: string, rest: readonly string[], link: string | null): string {
  const body = rest
    .map((line) => {
      if (line === '') return '<br>';
      return line === link
        ? `<p><a href="${escaped(line)}">Open the alarm</a></p>`
        : `<p>${escaped(line)}</p>`;
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
