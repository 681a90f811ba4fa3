import { signal } from '@preact/signals';
import type { Tune } from './alert-plan.ts';

/** `waiting`: the browser wants a tap or a key before it lets a page be heard. */
export const hearing = signal<'unknown' | 'waiting' | 'allowed'>('unknown');

const pulseS = 0.18;
const gapS = 0.14;

let context: AudioContext | null = null;

const look = () => {
  hearing.value = context?.state === 'running' ? 'allowed' : 'waiting';
};

/** Asks for sound, and again at every tap and key until it is allowed. Returns how to stop asking. */
export function askForSound(): () => void {
  if (typeof AudioContext === 'undefined') return () => {};
  context ??= new AudioContext();
  context.onstatechange = look;
  look();
  const allow = () => void context?.resume().then(look);
  for (const gesture of ['pointerdown', 'keydown']) addEventListener(gesture, allow);
  return () => {
    for (const gesture of ['pointerdown', 'keydown']) removeEventListener(gesture, allow);
  };
}

/** Pulses through the loudspeaker; nothing while the browser does not allow it. */
export function play({ pulses, pitchHz }: Pick<Tune, 'pulses' | 'pitchHz'>): void {
  if (context?.state !== 'running') return;
  for (let pulse = 0; pulse < pulses; pulse += 1) {
    const at = context.currentTime + pulse * (pulseS + gapS);
    const tone = context.createOscillator();
    const loudness = context.createGain();
    tone.frequency.value = pitchHz;
    tone.type = 'triangle';
    // Ramps instead of steps, which would click.
    loudness.gain.setValueAtTime(0, at);
    loudness.gain.linearRampToValueAtTime(0.6, at + 0.02);
    loudness.gain.setValueAtTime(0.6, at + pulseS - 0.04);
    loudness.gain.linearRampToValueAtTime(0, at + pulseS);
    tone.connect(loudness).connect(context.destination);
    tone.start(at);
    tone.stop(at + pulseS);
  }
}

/** Says a sentence, and drops what is still being said. A browser without a voice stays silent. */
export function say(words: string): void {
  if (typeof speechSynthesis === 'undefined') return;
  speechSynthesis.cancel();
  const speech = new SpeechSynthesisUtterance(words);
  speech.lang = 'en';
  speechSynthesis.speak(speech);
}

export function hush(): void {
  if (typeof speechSynthesis !== 'undefined') speechSynthesis.cancel();
}
