/**
 * Writes down what is nice to know, such as when somebody was last seen. A full disk must not shut out those
 * who come to read the alarm about it, so a failure here is let pass; the store tells of itself.
 */
export function aside(write: () => unknown): void {
  try {
    write();
  } catch {
    // Written the next time.
  }
}
