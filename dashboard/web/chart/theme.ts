/** Colours and type of a chart, read from the page so that it follows the theme. */
export interface ChartTheme {
  ink: string;
  quiet: string;
  grid: string;
  soft: string;
  panel: string;
  alarm: string;
  font: string;
}

export function readTheme(root: Element): ChartTheme {
  const style = getComputedStyle(root);
  const colour = (name: string) => style.getPropertyValue(name).trim();
  return {
    ink: colour('--ink'),
    quiet: colour('--ink-2'),
    grid: colour('--soft'),
    soft: colour('--band'),
    panel: colour('--panel'),
    alarm: colour('--alarm'),
    font: `15px ${style.fontFamily}`,
  };
}

/** The four hands lines are drawn in: told apart by their dashes, not by colour. */
export const dashes: readonly number[][] = [[], [9, 5], [2, 4], [12, 4, 2, 4]];
