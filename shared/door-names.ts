/** What a person may do: look; work with bags and alarms; change the farm and who may enter. */
export const roles = ['viewer', 'operator', 'admin'] as const;

/** How many characters a password has: OWASP ASVS 4.0.3, 2.1.1 and 2.1.2. */
export const passwordLength = { least: 12, most: 128 } as const;

/** What a script may do: look; record what was done to bags; act on alarms. */
export const scopes = ['read', 'bags', 'alarms'] as const;
