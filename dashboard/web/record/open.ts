import { signal } from '@preact/signals';
import { writeBags } from '../../../shared/batches/bag-list.ts';
import { newId } from '../parts/new-id.ts';
import type { Draft } from './draft.ts';
import type { RecordKind } from './kinds.ts';

interface About {
  batch?: string;
  bags?: readonly number[];
  kind?: RecordKind;
}

export const isOpen = signal(false);
export const draft = signal<Draft | null>(null);

const keptAs = (site: string) => `shelfwarden.draft.${site}`;

export const newIds = (): Draft['ids'] => [newId(), newId()];

const emptyDraft = (): Draft => ({
  kind: 'checked',
  ids: newIds(),
  batch: '',
  bags: '',
  shelf: '',
  share: '',
  purpose: '',
  reason: '',
  text: '',
  newBatch: '',
  strain: '',
  container: '',
  count: '',
  generation: 'G1',
  way: 'agar-wedges',
  amount: '',
  parent: '',
  parentBag: '',
  who: '',
  when: '',
});

let siteName = 'farm';

/** What was typed and not yet saved comes back, even after the page was closed. */
export function recallDraft(site: string): void {
  siteName = site;
  let kept: Partial<Draft> = {};
  try {
    kept = JSON.parse(localStorage.getItem(keptAs(site)) ?? '{}') ?? {};
  } catch {
    // Nothing usable was kept.
  }
  draft.value = { ...emptyDraft(), ...kept };
}

export function changeDraft(part: Partial<Draft>): void {
  draft.value = { ...(draft.peek() ?? emptyDraft()), ...part };
  try {
    localStorage.setItem(keptAs(siteName), JSON.stringify(draft.peek()));
  } catch {
    // Without storage the draft lives as long as the page.
  }
}

/** Opens the form; what is known of the place it was opened from is filled in. */
export function openRecord({ batch, bags, kind }: About): void {
  changeDraft({
    ...(batch === undefined ? {} : { batch }),
    ...(bags === undefined ? {} : { bags: writeBags(bags) }),
    ...(kind === undefined ? {} : { kind }),
    ...(batch !== undefined && draft.peek()?.kind === 'made' && kind === undefined
      ? { kind: 'checked' as const }
      : {}),
  });
  isOpen.value = true;
}

/** After saving: the next one of the same sort starts clean. */
export const startAfresh = (): void =>
  changeDraft({
    ids: newIds(),
    bags: '',
    share: '',
    purpose: '',
    reason: '',
    text: '',
    newBatch: '',
    parentBag: '',
    when: '',
  });
