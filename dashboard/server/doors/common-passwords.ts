import { dictionary } from '@zxcvbn-ts/language-common';

let commonest: Set<string> | undefined;

/** Whether it is among the 49,000 commonest passwords of known leaks (list of zxcvbn-ts). Read at first use. */
export function isCommon(password: string): boolean {
  commonest ??= new Set(dictionary['passwords-common'] as readonly string[]);
  return commonest.has(password.toLowerCase());
}
