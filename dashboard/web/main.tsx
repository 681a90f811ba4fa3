import './styles/base.css';
import './styles/drawing.css';
import './styles/wall.css';
import './styles/frame.css';
import { render } from 'preact';
import { App } from './app.tsx';
import { keepEntry } from './doors/entry.ts';
import { keepFocus } from './frame/keep-focus.ts';
import { startScreen } from './screen.ts';
import { keepSettings } from './settings.ts';

keepSettings(storageOrNone(), document.documentElement);
startScreen();
keepEntry();
keepFocus();
render(<App />, document.getElementById('screen')!);

/** Reading `localStorage` throws where storage is forbidden. */
function storageOrNone(): Storage | null {
  try {
    return localStorage;
  } catch {
    return null;
  }
}
