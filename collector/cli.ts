#!/usr/bin/env node
import { parseArgs } from 'node:util';
import { createDoorJournal } from '../dashboard/server/doors/journal.ts';
import { createPeople } from '../dashboard/server/doors/people.ts';
import { createSessions } from '../dashboard/server/doors/sessions.ts';
import { AppError, messageOf } from '../shared/errors.ts';
import { backupCommand } from './commands/backup.ts';
import { checkCommand } from './commands/check.ts';
import type { Command } from './commands/command.ts';
import { fitCommand } from './commands/fit.ts';
import { forecastCommand } from './commands/forecast.ts';
import { importCommand } from './commands/import.ts';
import { createPersonCommand } from './commands/person.ts';
import { scoreCommand } from './commands/score.ts';
import { runCommand } from './main.ts';
import { systemClock as clock } from './system-clock.ts';

const personCommand = createPersonCommand((database) => {
  const people = createPeople({ database, clock });
  const sessions = createSessions({ database, clock });
  const journal = createDoorJournal({ database, clock });
  return {
    ...people,
    signOut: (id) => sessions.closeAllOf(id),
    write: (act, subject) =>
      journal.write({ who: 'this machine', via: 'machine', address: '' }, act, subject),
  };
});

const commands: readonly Command[] = [
  runCommand,
  checkCommand,
  backupCommand,
  importCommand,
  fitCommand,
  forecastCommand,
  scoreCommand,
  personCommand,
];

const overview = `shelfwarden COMMAND [options]

${commands.map(({ name, summary }) => `  ${name.padEnd(10)} ${summary}`).join('\n')}

Without a command: run. More about one: shelfwarden COMMAND --help`;

async function runLine(words: string[]): Promise<number> {
  const [first] = words;
  if (first === '--help' || first === '-h' || first === 'help') {
    console.log(overview);
    return 0;
  }
  const named = first !== undefined && !first.startsWith('-');
  const command = named ? commands.find(({ name }) => name === first) : runCommand;
  if (command === undefined) {
    console.error(`There is no command '${first}'.\n\n${overview}`);
    return 1;
  }
  const { values, positionals } = parseArgs({
    args: named ? words.slice(1) : words,
    options: { ...command.options, help: { type: 'boolean', short: 'h' } },
    allowPositionals: true,
  });
  if (values.help === true) {
    console.log(command.help);
    return 0;
  }
  return command.run(values as Parameters<Command['run']>[0], positionals);
}

try {
  process.exitCode = await runLine(process.argv.slice(2));
} catch (thrown) {
  const expected =
    thrown instanceof AppError ||
    (thrown instanceof TypeError && 'code' in thrown && String(thrown.code).startsWith('ERR_PARSE_ARGS'));
  console.error(expected ? messageOf(thrown) : thrown);
  process.exitCode = 1;
}
