import { useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import { messageOf } from '../../../shared/errors.ts';
import { read } from '../api.ts';

/** What was asked of the server: the last answer stays while a newer one is on its way. */
export interface Asked<T> {
  value: T | null;
  failed: string | null;
  again(): void;
}

/** Asks for `path` again whenever it or `stamp` changes; null asks for nothing. */
export function useAnswer<T>(path: string | null, stamp: unknown = null): Asked<T> {
  const value = useSignal<{ path: string; answer: T } | null>(null);
  const failed = useSignal<string | null>(null);
  const tries = useSignal(0);
  useEffect(() => {
    if (path === null) return;
    const abort = new AbortController();
    read<T>(path, abort.signal).then(
      (answer) => {
        if (abort.signal.aborted) return;
        value.value = { path, answer };
        failed.value = null;
      },
      (error: unknown) => {
        if (!abort.signal.aborted) failed.value = messageOf(error);
      },
    );
    return () => abort.abort();
  }, [path, stamp, tries.value]);
  return {
    value: value.value?.answer ?? null,
    failed: failed.value,
    again: () => {
      tries.value += 1;
    },
  };
}
