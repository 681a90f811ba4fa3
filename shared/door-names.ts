/** What a person may do: look; work with bags and alarms; change the farm and who may enter. */
export const roles = ['viewer', 'operator', 'admin'] as const;

/** What a script may do: look; record what was done to bags; act on alarms. */
export const scopes = ['read', 'bags', 'alarms'] as const;
