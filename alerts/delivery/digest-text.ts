import type { AlarmView } from '../../shared/alarms.ts';
import type { FarmView } from '../../shared/live.ts';
import type { OutgoingMail } from '../../shared/ports.ts';
import type { Today, TodayGroup, TodayPlace } from '../../shared/today.ts';
import { htmlOf } from './email.ts';

/** What a morning's message is made of. */
export interface DigestContent {
  farm: Pick<FarmView, 'rooms' | 'site'>;
  today: Today;
  alarms: readonly AlarmView[];
  /** Sensors that have not spoken for too long, by name. */
  silentSensors: readonly string[];
  link: string | null;
}

const bagsWords = (bags: number) => (bags === 1 ? '1 bag' : `${bags} bags`);

const asks: Record<TodayGroup['task'], string> = {
  shake: 'Shake',
  use: 'Use soon',
  'too-old': 'Too old to use',
  look: 'Look at',
};

/** The day's work in a message: what to shake, what is ready, what ran hot, what is wrong with sensors. */
export function digestText(content: DigestContent): Pick<OutgoingMail, 'subject' | 'text' | 'html'> {
  const { farm, today, alarms, silentSensors, link } = content;
  const roomName = (room: string | null) => farm.rooms.find(({ id }) => id === room)?.name ?? null;
  const place = ({ shelf, room, bags, ranHot }: TodayPlace) => {
    const where = shelf === null ? 'not placed' : `shelf ${shelf}`;
    const room_ = roomName(room);
    return `  ${where}${room_ === null ? '' : `, ${room_}`}: ${bagsWords(bags)}${ranHot ? ', ran hot' : ''}`;
  };
  const work = today.groups.flatMap((group) => [
    '',
    `${asks[group.task]}: ${bagsWords(group.bags)}`,
    ...group.places.map(place),
  ]);
  const standing = alarms.filter(({ state }) => state !== 'normal');
  const first =
    today.groups.length === 0
      ? 'No bag asks for anything today.'
      : today.groups.map((group) => `${asks[group.task].toLowerCase()} ${bagsWords(group.bags)}`).join(', ');
  const lines = [
    ...work,
    '',
    `Ready: ${bagsWords(today.readyBags)}.`,
    '',
    silentSensors.length === 0
      ? 'All sensors speak.'
      : `Sensors that say nothing: ${silentSensors.join(', ')}.`,
    ...(standing.length === 0 ? ['No alarm stands.'] : ['Alarms that stand:']),
    ...standing.map(({ title, state }) => `  ${title} (${state.replaceAll('-', ' ')})`),
    ...(link === null ? [] : ['', `See it: ${link}`]),
    '',
    'Forecasts are estimates: look before you shake. This tool advises; it is not a safety system.',
  ];
  const headline = `${first[0]!.toUpperCase()}${first.slice(1)}`;
  return {
    subject: `${farm.site.name} today: ${first.replace(/\.$/, '')}`,
    text: `${[headline, ...lines].join('\n')}\n`,
    html: htmlOf(headline, lines),
  };
}
