/** What a part of a page is called by. */
const headings = 'h1, h2, h3, summary, legend';

/**
 * When what has the keyboard's focus is taken off the page, by what was done with it or by news from the farm, the
 * focus goes to the heading of what is left around it, rather than back to the top of the page. A part that knows a
 * better neighbour gives the focus to it by itself, in the same turn.
 */
export function keepFocus(): void {
  /** What has the focus, and all that is around it, from within. */
  let held: readonly Element[] = [];
  addEventListener('focusin', ({ target }) => {
    held = target instanceof Element ? [...around(target)] : [];
  });
  // Whoever puts the focus down does without it. Browsers may tell the same of what is just being taken away.
  addEventListener('focusout', () =>
    queueMicrotask(() => {
      if (held[0]?.isConnected && document.activeElement !== held[0]) held = [];
    }),
  );
  new MutationObserver(() => {
    const [holder, ...places] = held;
    if (holder === undefined || holder.isConnected) return;
    held = [];
    if (document.activeElement !== null && document.activeElement !== document.body) return;
    for (const place of places) {
      const heading = place.isConnected ? place.querySelector<HTMLElement>(headings) : null;
      if (heading === null) continue;
      if (heading.tabIndex < 0) heading.tabIndex = -1;
      // What is looked at stays in sight: a finger has no need of the focus.
      heading.focus({ preventScroll: true });
      return;
    }
    // A page whose code is still on its way.
    document.getElementById('content')?.focus({ preventScroll: true });
  }).observe(document, { childList: true, subtree: true });
}

function* around(element: Element): Generator<Element> {
  for (let one: Element | null = element; one !== null; one = one.parentElement) yield one;
}
