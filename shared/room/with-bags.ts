import type { RoomParams } from './params.ts';
import type { RoomFit } from './room-fit.ts';

/**
 * Heat of bags that comes on top of the gains that a fit holds [W]: what they give by what is told of them, or what
 * they gave when the room was learned where nothing is told. None where the fit has them among its gains.
 */
export function bagsBesideW({ bags }: Pick<RoomFit, 'bags'>, toldW: number | null | undefined): number {
  if (bags === undefined) return 0;
  return toldW == null ? bags.endW : bags.factor * toldW;
}

/** A room with bags in it that give steady heat to its air [W, 0 or more], as one whose own gains are so much more. */
export function withBags(room: RoomParams, bagsW: number): RoomParams {
  if (bagsW === 0) return room;
  const gainW = room.gainW + bagsW;
  return { ...room, gainW, gainInWalls: (room.gainInWalls * room.gainW) / gainW };
}
