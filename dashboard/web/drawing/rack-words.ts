import type { BagMark } from '../../../shared/forecasts.ts';
import type { FarmView } from '../../../shared/live.ts';
import { common } from '../text/common.ts';
import { wall } from '../text/wall.ts';
import type { ByShelf } from './standing.ts';

type RackView = FarmView['rooms'][number]['racks'][number];

/** What a drawn rack shows, for those who hear it: `A1 8 bags, 2 ready; A2 empty`. */
export function rackInWords(rack: RackView, standing: ByShelf): string {
  return rack.shelves
    .map(({ id }) => {
      const row = standing.get(id) ?? [];
      if (row.length === 0) return wall.rackShelf(id, wall.rackEmpty);
      const marks = new Map<BagMark, number>();
      for (const { mark } of row) if (mark !== null) marks.set(mark, (marks.get(mark) ?? 0) + 1);
      const marked = [...marks].map(([mark, count]) => `${count} ${common.mark[mark]}`);
      return wall.rackShelf(id, [common.bags(row.length), ...marked].join(', '));
    })
    .join('; ');
}
