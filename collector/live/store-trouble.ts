type Writer = 'intake' | 'tick';

/**
 * Why nothing can be written, as told by both who write: intake, and the look at time-driven alarms, which
 * also runs while no reading comes. `onChange` hears of it once, and with null once both write again.
 */
export function createStoreTrouble(onChange: (problem: string | null) => void) {
  const troubles: Record<Writer, string | null> = { intake: null, tick: null };
  let told: string | null = null;
  return (by: Writer, problem: string | null): void => {
    troubles[by] = problem;
    const pressing = troubles.intake ?? troubles.tick;
    if (pressing === told) return;
    told = pressing;
    onChange(pressing);
  };
}
