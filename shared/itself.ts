/** Who did it when no person did, in every record: of alarms, and of what was guessed of unloads. */
export const itself = 'Shelfwarden';
