import type { LiveState } from '../../../shared/live.ts';
import type { UnloadProbe, UnloadView } from '../../../shared/unloads.ts';
import { spanOf } from '../format/time.ts';
import { site } from '../screen.ts';
import { settings } from '../settings.ts';
import { unload as text } from '../text/unload.ts';
import { useTelling } from './act.ts';
import { Said } from './acts.tsx';
import { freeChannels, probeName, probesIn } from './probes.ts';
import { tempWords } from './underway-words.ts';

/** What the probe in a load tells, and whether the load is followed by it. */
export function ProbeFact({ probe: { tempC, at, state } }: { probe: UnloadProbe }) {
  const now = site.value.now.value;
  const { temperature } = settings.value;
  const ago = at === null ? null : spanOf(Math.max(0, now - at));
  const words =
    ago === null
      ? text.probeNothing
      : state === 'silent'
        ? text.probeSilent(ago)
        : state === 'aside'
          ? text.probeAside
          : state === 'settling'
            ? text.probeSettling
            : text.probeHeard(ago);
  return (
    <div>
      <dt>{text.nowProbe}</dt>
      <dd>
        {tempC === null ? null : <strong>{tempWords(tempC, temperature)}</strong>}{' '}
        <span class={state === 'heard' ? 'quiet' : undefined}>{words}</span>
      </dd>
    </div>
  );
}

/** Which probe stands in a load, where its room has any: put in later, changed, or taken out. */
export function ProbeChoice({ live, view }: { live: LiveState; view: UnloadView }) {
  const telling = useTelling();
  const probes = probesIn(freeChannels(live, view.id), view.room);
  const current = view.now?.probe?.channel ?? null;
  if (probes.length === 0 && current === null) return null;
  const id = `probe-${view.id}`;
  // Disabled while it is told, it would lose the keyboard's focus: one that is not taken is shown as it was.
  const choose = async (field: HTMLSelectElement) => {
    const channel = field.value === '' ? null : field.value;
    if (!(await telling.tell({ unload: view.id, kind: 'probed', channel }))) field.value = current ?? '';
  };
  const known = current === null || probes.some((probe) => probe.id === current);
  return (
    <div class="field">
      <label for={id}>{text.probe}</label>
      <select
        id={id}
        value={current ?? ''}
        disabled={view.now === null}
        aria-disabled={telling.busy.value}
        aria-describedby={`${id}-hint`}
        onChange={({ currentTarget }) => void choose(currentTarget)}
      >
        <option value="">{text.probeNone}</option>
        {known ? null : <option value={current}>{probeName(live.farm, current)}</option>}
        {probes.map((probe) => (
          <option key={probe.id} value={probe.id}>
            {probe.sensor}
          </option>
        ))}
      </select>
      <p class="field-hint" id={`${id}-hint`}>
        {text.probeHint}
      </p>
      <Said telling={telling} />
    </div>
  );
}
