import type { ComponentChildren } from 'preact';
import { inScreenUnit } from '../format/value.ts';
import { settings } from '../settings.ts';
import { unload as text } from '../text/unload.ts';
import type { Telling } from './act.ts';
import { SureButton } from './sure-button.tsx';
import type { Doing } from './teller.ts';

/** What became of what was told: why it was refused, or that it is saved. */
export const Said = ({ telling: { refusal }, said = null }: { telling: Telling; said?: string | null }) => (
  <p class="acts-said" role="status">
    {refusal.value === null ? (
      said
    ) : (
      <strong>{text.refused(inScreenUnit(refusal.value, settings.value.temperature))}</strong>
    )}
  </p>
);

interface ActsProps {
  telling: Telling;
  said?: string | null;
  children: ComponentChildren;
}

/** What may be told of an unload, side by side, and below it what became of the last. */
export const Acts = ({ telling, said = null, children }: ActsProps) => (
  <div class="acts">
    {children}
    <Said telling={telling} said={said} />
  </div>
);

interface SureActProps {
  telling: Telling;
  words: string;
  sure: string;
  doing: Doing;
}

/** Something that is told in two taps. */
export const SureAct = ({ telling: { busy, tell }, words, sure, doing }: SureActProps) => (
  <SureButton words={words} sure={sure} busy={busy.value} onSure={() => void tell(doing)} />
);
