import { buildFarm, type Farm } from '../../shared/farm/farm.ts';
import { farmFile, type Species } from '../../shared/farm/schema.ts';
import { explainIssues, type Finding } from '../../shared/problems/explain.ts';
import { checkBiology } from './checks/biology.ts';
import { checkConnections } from './checks/connections.ts';
import { checkIds } from './checks/ids.ts';
import { checkLimits } from './checks/limits.ts';
import { checkPeople } from './checks/people.ts';
import { checkSensors } from './checks/sensors.ts';
import { readDocument } from './document.ts';
import type { Problem } from './problems.ts';

export type FarmLoad = { ok: true; farm: Farm } | { ok: false; problems: Problem[] };

const secretKey = /pass|secret|token|api-?key|credential/i;

/** Secrets are named in this file, never written; whoever tries is told where to put them. */
function keyAdvice(key: string, known: readonly string[]): string | undefined {
  if (key === '<<') return 'write the keys out; groups are not merged';
  if (/^\d+$/.test(key))
    return 'write a decimal point, not a comma, if it is part of a number; otherwise remove it';
  if (!secretKey.test(key) || known.includes(key)) return undefined;
  const named = known.find((name) => /^(password|token|secret)Env$/.test(name));
  return named === undefined
    ? 'remove it, no secret belongs here'
    : `put the secret in an environment variable and its name in ${named}:`;
}

/** A finding about a secret must not carry the secret into a log or onto a screen. */
function hideSecret(finding: Finding): Finding {
  const key = String(finding.path.at(-1));
  if (finding.place !== 'value' || !secretKey.test(key)) return finding;
  return finding.found.startsWith(`${key} `)
    ? { ...finding, found: `${key} with an unusable value` }
    : finding;
}

/**
 * Reads a farm file. Never throws, whatever the text is: either the farm, or every problem in it at
 * once, each with line and column, what was found, what is wanted and how to mend it.
 */
export function loadFarmFile(text: string, fileName: string, builtInSpecies: readonly Species[]): FarmLoad {
  const document = readDocument(text, fileName);
  if (!document.readable) return { ok: false, problems: document.problems };
  const { raw } = document;
  const parsed = farmFile.safeParse(raw);
  const findings = [
    ...(parsed.success ? [] : explainIssues(farmFile, raw, parsed.error.issues, keyAdvice).map(hideSecret)),
    ...checkIds(raw, builtInSpecies),
    ...checkSensors(raw),
    ...checkLimits(raw),
    ...checkBiology(raw),
    ...checkConnections(raw),
    ...checkPeople(raw),
  ];
  const problems = [...document.problems, ...findings.map((finding) => document.place(finding))];
  problems.sort((a, b) => a.line - b.line || a.column - b.column);
  if (!parsed.success || problems.length > 0) return { ok: false, problems };
  return { ok: true, farm: buildFarm(parsed.data, builtInSpecies) };
}
