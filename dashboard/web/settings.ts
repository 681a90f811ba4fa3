import { effect, signal } from '@preact/signals';

/** What one screen remembers of itself; kept in the browser, never sent. */
export interface ScreenSettings {
  theme: 'system' | 'light' | 'dark';
  temperature: 'C' | 'F';
  /** Keys (KeyboardEvent.key) that acknowledge the top alarm on the wall. */
  acknowledgeKeys: string[];
  /** Whether the wall sounds and speaks its alarms. */
  sound: boolean;
  /** Who acts at this screen, for the records. */
  who: string;
}

export const defaultSettings: ScreenSettings = {
  theme: 'system',
  temperature: 'C',
  acknowledgeKeys: [' ', 'Enter'],
  sound: true,
  who: '',
};

/** Settings from what was kept; whatever is missing or makes no sense takes its default. */
export function readSettings(kept: string | null): ScreenSettings {
  let found: Partial<Record<keyof ScreenSettings, unknown>>;
  try {
    found = JSON.parse(kept ?? '{}') ?? {};
  } catch {
    return defaultSettings;
  }
  const { theme, temperature, acknowledgeKeys, sound, who } = found;
  const keys = Array.isArray(acknowledgeKeys)
    ? acknowledgeKeys.filter((key): key is string => typeof key === 'string' && key !== '')
    : [];
  return {
    theme: theme === 'light' || theme === 'dark' ? theme : 'system',
    temperature: temperature === 'F' ? 'F' : 'C',
    acknowledgeKeys: keys.length > 0 ? keys : defaultSettings.acknowledgeKeys,
    sound: sound !== false,
    who: typeof who === 'string' ? who.slice(0, 80) : '',
  };
}

const shelfName = 'shelfwarden.screen';

export const settings = signal<ScreenSettings>(defaultSettings);

export const change = (part: Partial<ScreenSettings>): void => {
  settings.value = { ...settings.peek(), ...part };
};

/** Loads the settings, keeps every change, and lets the theme follow. A browser without storage still works. */
export function keepSettings(storage: Storage | null, root: HTMLElement): void {
  settings.value = readSettings(storage?.getItem(shelfName) ?? null);
  effect(() => {
    const { theme } = settings.value;
    if (theme === 'system') delete root.dataset.theme;
    else root.dataset.theme = theme;
    try {
      storage?.setItem(shelfName, JSON.stringify(settings.value));
    } catch {
      // A full or forbidden storage costs only the memory of this screen's settings.
    }
  });
}
