import { computed, effect, signal } from '@preact/signals';
import type { Entry } from '../../../shared/api/doors.ts';
import { ask } from '../api.ts';
import { site } from '../screen.ts';
import { settings } from '../settings.ts';
import { common } from '../text/common.ts';

/** How the doors stand and who sits here; null until the server has said. */
export const entry = signal<Entry | null>(null);

/** True when nothing of the farm may be shown here: nobody has signed in, or nobody exists yet. */
export const shutOut = computed(() => entry.value?.me.kind === 'nobody');

/** What this person, wall or demo may do, for leaving out what would be refused. */
export const isAdmin = computed(() => {
  const me = entry.value?.me;
  return me?.kind === 'demo' || (me?.kind === 'person' && me.role === 'admin');
});
export const isOperator = computed(
  () => isAdmin.value || (entry.value?.me.kind === 'person' && entry.value.me.role === 'operator'),
);

/** False on a wall that only shows, and for viewers; true also while it is not known who sits here. */
export const mayActOnAlarms = computed(() => {
  const me = entry.value?.me;
  if (me?.kind === 'wall') return me.mayAcknowledge;
  return me?.kind !== 'person' || isOperator.value;
});

/** The name under which acts of this screen are journalled; the server takes its own word where it knows better. */
export const whoHere = (): string => nameHere() || common.thisScreen;

/** Whom the server knows this screen as: a person or a wall; null where anybody may stand (the demo). */
export const signedName = computed(() => {
  const me = entry.value?.me;
  return me?.kind === 'person' || me?.kind === 'wall' ? me.name : null;
});

/** As `whoHere`, but empty where nobody has said. */
export const nameHere = (): string => signedName.peek() ?? settings.peek().who.trim();

/** Asks again who one is. Without contact what was known stays. */
export async function askEntry(): Promise<void> {
  const answer = await ask<Entry>('/api/doors');
  if (answer.ok) entry.value = answer.value;
}

/** Keeps the stream of the site open exactly while this screen may see it. */
export function keepEntry(): void {
  void askEntry();
  let following = true;
  effect(() => {
    const out = shutOut.value;
    if (out && following) site.peek().leave();
    if (!out && !following) site.peek().follow();
    following = !out;
  });
  // A stream that breaks may have been ended because somebody was shut out.
  effect(() => {
    if (site.value.contact.value.breaks > 0) void askEntry();
  });
}
