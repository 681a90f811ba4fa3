import { expect, it } from 'vitest';
import { freeBox } from '../../../../../dashboard/web/chart/free-box.ts';

const at = (left: number, top: number) => ({ left, top, width: 40, height: 17 });

it('words go to the first place where they meet no others', () => {
  const [own, other, below] = [at(100, 50), at(0, 50), at(100, 72)];
  const places = [own, other, below];
  expect(freeBox(places, [])).toBe(own);
  // Side by side is not over each other.
  expect(freeBox(places, [at(60, 50), at(100, 67)])).toBe(own);
  expect(freeBox(places, [at(110, 55)])).toBe(other);
  expect(freeBox(places, [at(110, 55), at(10, 45)])).toBe(below);
  expect(freeBox([own], [own])).toBe(own);
});
