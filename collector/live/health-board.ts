import type { Notice, PartHealth } from '../../shared/live.ts';
import type { Clock } from '../../shared/time.ts';

interface HealthBoardParts {
  clock: Clock;
  onParts: (parts: PartHealth[]) => void;
  onNotices: (notices: Notice[]) => void;
}

/** How every part says that it works, waits or failed, and the notices that follow from it. */
export function createHealthBoard({ clock, onParts, onNotices }: HealthBoardParts) {
  const parts = new Map<string, PartHealth>();
  const notices = new Map<string, Notice>();

  return {
    /** `since` moves only when the state does; an unchanged report is not passed on. */
    report(part: string, state: PartHealth['state'], text: string): void {
      const before = parts.get(part);
      if (before?.state === state && before.text === text) return;
      const since = before?.state === state ? before.since : clock.now();
      parts.set(part, { part, state, text, since });
      onParts([...parts.values()]);
    },
    /** Shows a notice, or takes it down with null. */
    notice(id: string, text: string | null): void {
      const before = notices.get(id);
      if (text === null) {
        if (!notices.delete(id)) return;
      } else {
        if (before?.text === text) return;
        notices.set(id, { id, text, since: before?.since ?? clock.now() });
      }
      onNotices([...notices.values()]);
    },
    parts: (): PartHealth[] => [...parts.values()],
    notices: (): Notice[] => [...notices.values()],
  };
}
