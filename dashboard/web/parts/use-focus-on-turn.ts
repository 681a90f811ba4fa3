import { useCallback, useLayoutEffect, useRef } from 'preact/hooks';

/**
 * For a part that turns from one form into another by what somebody does in it: the focus goes to what the part
 * hands to the `ref` that this returns, which is first in its new form. `turn` tells the forms apart.
 */
export function useFocusOnTurn(turn: unknown): (first: HTMLElement | null) => void {
  const first = useRef<HTMLElement | null>(null);
  const before = useRef(turn);
  // Before it is painted, so that what is typed right after the tap comes to it.
  useLayoutEffect(() => {
    if (before.current !== turn) first.current?.focus();
    before.current = turn;
  }, [turn]);
  return useCallback((one) => {
    if (one !== null) first.current = one;
  }, []);
}
