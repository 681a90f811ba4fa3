import type { ParseArgsConfig } from 'node:util';

export type OptionValues = Record<string, string | boolean | string[] | undefined>;

/** One word of the command line. `run` answers with the exit code. */
export interface Command {
  name: string;
  /** One line for the overview. */
  summary: string;
  /** Whole help text. */
  help: string;
  options: NonNullable<ParseArgsConfig['options']>;
  run(values: OptionValues, positionals: string[]): Promise<number>;
}

export const text = (values: OptionValues, name: string): string | undefined => {
  const value = values[name];
  return typeof value === 'string' ? value : undefined;
};
