import { expect, test } from 'vitest';
import { createHealthBoard } from '../../../../collector/live/health-board.ts';
import type { Notice, PartHealth } from '../../../../shared/live.ts';
import { createManualClock } from '../../../../shared/manual-clock.ts';

function openBoard() {
  const clock = createManualClock(1_000);
  const parts: PartHealth[][] = [];
  const notices: Notice[][] = [];
  const board = createHealthBoard({
    clock,
    onParts: (list) => parts.push(list),
    onNotices: (list) => notices.push(list),
  });
  return { clock, board, parts, notices };
}

test('since moves with the state, not with the words', () => {
  const { clock, board, parts } = openBoard();
  board.report('broker', 'ok', '3 clients');
  clock.advanceBy(500);
  board.report('broker', 'ok', '4 clients');
  clock.advanceBy(500);
  board.report('broker', 'failed', 'away');
  board.report('broker', 'failed', 'away');
  expect(parts.map((list) => list[0])).toEqual([
    { part: 'broker', state: 'ok', text: '3 clients', since: 1_000 },
    { part: 'broker', state: 'ok', text: '4 clients', since: 1_000 },
    { part: 'broker', state: 'failed', text: 'away', since: 2_000 },
  ]);
});

test('a notice is shown once, keeps its first instant, and goes', () => {
  const { clock, board, notices } = openBoard();
  board.notice('farm-file', 'refused: line 3');
  clock.advanceBy(100);
  board.notice('farm-file', 'refused: line 3');
  board.notice('farm-file', 'refused: line 4');
  board.notice('farm-file', null);
  board.notice('farm-file', null);
  expect(notices).toEqual([
    [{ id: 'farm-file', text: 'refused: line 3', since: 1_000 }],
    [{ id: 'farm-file', text: 'refused: line 4', since: 1_000 }],
    [],
  ]);
});
