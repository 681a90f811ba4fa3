import type uPlot from 'uplot';
import { type Box, freeBox } from './free-box.ts';
import type { ChartPlan } from './plan.ts';
import type { ChartTheme } from './theme.ts';

/** What uPlot has no word for: limits, moments, ticks under the axis, what was seen, and intervals ahead. */
export function drawOver(u: uPlot, plan: ChartPlan, theme: ChartTheme): void {
  const { ctx, bbox } = u;
  const px = devicePixelRatio;
  ctx.save();
  ctx.font = theme.font.replace('15px', `${15 * px}px`);
  const x = (t: number) => u.valToPos(t, 'x', true);
  const inside = (t: number) => t >= plan.from && t <= plan.to;

  const taken: Box[] = [];
  for (const { scale, value, text, strong, atRight = plan.scales[scale]?.side === 'right' } of plan.limits) {
    const y = u.valToPos(value, scale, true);
    if (y < bbox.top || y > bbox.top + bbox.height) continue;
    const [colour, width, dash] = strong ? [theme.ink, 2 * px, []] : [theme.quiet, px, [6 * px, 4 * px]];
    hairline(ctx, colour, width, dash, [bbox.left, y, bbox.left + bbox.width, y]);
    ctx.fillStyle = colour;
    ctx.textAlign = 'left';
    ctx.textBaseline = 'top';
    const size = { width: ctx.measureText(text).width, height: 17 * px };
    const box = freeBox(besideLine(bbox, y, size, atRight, px), taken);
    taken.push(box);
    ctx.fillText(text, box.left, box.top);
  }

  drawStrips(u, plan, theme);

  for (const { t, text } of plan.moments.filter((moment) => inside(moment.t))) {
    hairline(ctx, theme.ink, px, [], [x(t), bbox.top, x(t), bbox.top + bbox.height]);
    ctx.fillStyle = theme.ink;
    ctx.textAlign = 'left';
    ctx.textBaseline = 'top';
    ctx.fillText(text, x(t) + 5 * px, bbox.top + 2 * px);
  }

  const floor = bbox.top + bbox.height;
  for (const { t, kind } of plan.ticks.filter((tick) => inside(tick.t))) {
    ctx.fillStyle = kind === 'alarm' ? theme.alarm : theme.ink;
    ctx.beginPath();
    if (kind === 'alarm') triangle(ctx, x(t), floor + 3 * px, 6 * px);
    else ctx.rect(x(t) - px, floor + 2 * px, 2 * px, 10 * px);
    ctx.fill();
  }

  for (const { from, likely, to, scale, value } of plan.spans) {
    const y = u.valToPos(value, scale, true);
    const [left, right] = [Math.max(x(from), bbox.left), Math.min(x(to), bbox.left + bbox.width)];
    ctx.strokeStyle = theme.ink;
    ctx.lineWidth = 2 * px;
    ctx.setLineDash([]);
    ctx.beginPath();
    ctx.moveTo(left, y);
    ctx.lineTo(right, y);
    for (const end of [left, right]) {
      ctx.moveTo(end, y - 6 * px);
      ctx.lineTo(end, y + 6 * px);
    }
    ctx.stroke();
    dot(ctx, x(likely), y, 6 * px, theme.ink, theme.panel, px);
  }

  for (const { t, value, scale } of plan.points.filter((point) => inside(point.t)))
    dot(ctx, x(t), u.valToPos(value, scale, true), 5.5 * px, theme.panel, theme.ink, px);
  ctx.restore();
}

/** Where the words of a limit may stand: over its line at the edge of its scale, at the other edge, or below. */
function besideLine(
  plot: uPlot.BBox,
  y: number,
  { width, height }: Pick<Box, 'width' | 'height'>,
  atRight: boolean,
  px: number,
): Box[] {
  const [left, right] = [plot.left + 4 * px, plot.left + plot.width - 4 * px - width];
  const [own, other] = atRight ? [right, left] : [left, right];
  const [over, below] = [y - 2 * px - height, y + 3 * px];
  return [
    { left: own, top: over, width, height },
    { left: other, top: over, width, height },
    { left: own, top: below, width, height },
  ];
}

/** Height of a row of spans above the plot. */
export const stripRowPx = 22;
const stripBarPx = 12;

function drawStrips(u: uPlot, plan: ChartPlan, theme: ChartTheme): void {
  const { ctx, bbox } = u;
  const px = devicePixelRatio;
  plan.strips.forEach(({ label, kind, spans }, row) => {
    const top = bbox.top - ((plan.strips.length - row) * stripRowPx + 2) * px;
    const height = stripBarPx * px;
    for (const [from, to] of spans) {
      const left = Math.max(bbox.left, u.valToPos(from, 'x', true));
      const right = Math.min(bbox.left + bbox.width, u.valToPos(to, 'x', true));
      const width = Math.max(3 * px, right - left);
      if (right < bbox.left || left > bbox.left + bbox.width) continue;
      ctx.fillStyle = kind === 'held' ? theme.alarm : theme.ink;
      if (kind === 'held') ctx.fillRect(left, top, width, height);
      else hatched(ctx, left, top, width, height, px);
    }
    ctx.fillStyle = theme.ink;
    ctx.textAlign = 'left';
    ctx.textBaseline = 'middle';
    ctx.fillText(label, 2 * px, top + height / 2);
  });
}

/** Slanting lines in an outline, so that two rows differ in more than colour. */
function hatched(
  ctx: CanvasRenderingContext2D,
  left: number,
  top: number,
  width: number,
  height: number,
  px: number,
): void {
  ctx.save();
  ctx.beginPath();
  ctx.rect(left, top, width, height);
  ctx.clip();
  ctx.strokeStyle = ctx.fillStyle;
  ctx.setLineDash([]);
  ctx.lineWidth = 2 * px;
  ctx.beginPath();
  for (let x = left - height; x < left + width; x += 6 * px) {
    ctx.moveTo(x, top + height);
    ctx.lineTo(x + height, top);
  }
  ctx.rect(left, top, width, height);
  ctx.stroke();
  ctx.restore();
}

type Line = [x0: number, y0: number, x1: number, y1: number];

function hairline(
  ctx: CanvasRenderingContext2D,
  colour: string,
  width: number,
  dash: number[],
  line: Line,
): void {
  ctx.strokeStyle = colour;
  ctx.lineWidth = width;
  ctx.setLineDash(dash);
  ctx.beginPath();
  ctx.moveTo(line[0], line[1]);
  ctx.lineTo(line[2], line[3]);
  ctx.stroke();
}

function triangle(ctx: CanvasRenderingContext2D, x: number, top: number, size: number): void {
  ctx.moveTo(x, top);
  ctx.lineTo(x + size, top + 1.7 * size);
  ctx.lineTo(x - size, top + 1.7 * size);
  ctx.closePath();
}

function dot(
  ctx: CanvasRenderingContext2D,
  x: number,
  y: number,
  radius: number,
  fill: string,
  edge: string,
  px: number,
): void {
  ctx.setLineDash([]);
  ctx.beginPath();
  ctx.arc(x, y, radius, 0, 2 * Math.PI);
  ctx.fillStyle = fill;
  ctx.fill();
  ctx.strokeStyle = edge;
  ctx.lineWidth = 2 * px;
  ctx.stroke();
}
