import type { AlarmNews } from './email.ts';

/** What is known of a transition, before it is known who is told. */
export interface Tidings extends Omit<AlarmNews, 'note' | 'link' | 'acknowledge' | 'site'> {
  route: string | null;
  /** Journal line of the transition, and its name in Message-IDs. */
  seq: number;
  transition: string;
  /** Name of the raise whose messages belong together. */
  thread: string;
}
