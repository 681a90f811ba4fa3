let commonest: Set<string> | undefined;

/**
 * Whether it is among the 49,000 commonest passwords of known leaks (list of zxcvbn-ts). The list is loaded
 * at first use, so that a start does not wait for it.
 */
export async function isCommon(password: string): Promise<boolean> {
  if (commonest === undefined) {
    const { dictionary } = await import('@zxcvbn-ts/language-common');
    commonest = new Set(dictionary['passwords-common'] as readonly string[]);
  }
  return commonest.has(password.toLowerCase());
}
