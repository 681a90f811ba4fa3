import type uPlot from 'uplot';
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

  for (const { scale, value, text } of plan.limits) {
    const y = u.valToPos(value, scale, true);
    if (y < bbox.top || y > bbox.top + bbox.height) continue;
    hairline(ctx, theme.quiet, px, [6 * px, 4 * px], [bbox.left, y, bbox.left + bbox.width, y]);
    ctx.fillStyle = theme.quiet;
    // A limit's number stands at the side where its scale stands.
    const atRight = plan.scales[scale]?.side === 'right';
    ctx.textAlign = atRight ? 'right' : 'left';
    ctx.textBaseline = 'bottom';
    ctx.fillText(text, atRight ? bbox.left + bbox.width - 4 * px : bbox.left + 4 * px, y - 2 * px);
  }

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
