import { adviceStudy, unloadStudy } from '../tools/unload-study.ts';
import type { Figure } from './figure.ts';

const rooms = 100;
/** Not looked at while the fit was made. */
const seed = 20_261_210;

/** Unloads in a hundred rooms never seen: the room's rise and its time, the load's core, and the bands about them. */
export async function run(): Promise<Figure[]> {
  const figures = [
    { trained: true, coolerTold: false, after: 'after three small ones' },
    { trained: true, coolerTold: true, after: 'after three small ones, cooler told' },
    { trained: false, coolerTold: false, after: 'the first ever' },
  ].flatMap(({ trained, coolerTold, after }) => {
    const study = unloadStudy({ rooms, seed, trained, coolerTold });
    const plain = { unit: 'share', baseline: null, ratio: null };
    const atLeast = (name: string, value: number): Figure => ({
      ...{ name: `${name}, ${after}`, value, ...plain },
      ...{ goal: 'at least 0.8', holds: value >= 0.8 },
    });
    const held = (name: string, value: number): Figure => ({
      ...{ name: `80 % band of the ${name} held, ${after}`, value, ...plain },
      ...{ goal: '0.7 to 0.9', holds: value >= 0.7 && value <= 0.9 },
    });
    return [
      {
        ...{ name: `median rise of the room, ${after}`, value: study.typicalRiseK, ...plain, unit: 'K' },
        ...{ goal: null, holds: null },
      },
      atLeast(trained ? 'rise within 15 % or 1 K' : 'rise within 30 % or 2.5 K', study.rise),
      atLeast(`rise, in ${study.outside.rooms} with a sensor outside`, study.outside.rise),
      atLeast(`its time within ${trained ? 15 : 30} % or 15 min`, study.time),
      atLeast('core cool-down within 10 %', study.core),
      held('rise', study.riseHeld),
      held('time', study.timeHeld),
      held('core', study.coreHeld),
    ];
  });
  const { asked, kept, broken } = adviceStudy({ rooms, seed });
  const plain = { unit: 'share', baseline: null, ratio: null };
  return [
    ...figures,
    {
      ...{ name: 'rooms whose largest load lies within what a farm has', value: asked, ...plain },
      ...{ unit: `of ${rooms}`, goal: null, holds: null },
    },
    {
      ...{ name: 'largest load, carried out, harms no cohort', value: kept, ...plain },
      ...{ goal: 'at least 0.9', holds: kept >= 0.9 },
    },
    {
      ...{ name: 'half as much again does', value: broken, ...plain },
      ...{ goal: 'more than 0.5', holds: broken > 0.5 },
    },
  ];
}
