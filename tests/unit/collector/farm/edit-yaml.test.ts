import { describe, expect, it } from 'vitest';
import { editYaml } from '../../../../collector/farm/edit-yaml.ts';
import { AppError } from '../../../../shared/errors.ts';

const at = ['rooms', 0, 'limits', 'temperature'] as const;

describe('setting a value', () => {
  it.each<[string, string, string, number | string | boolean, string]>([
    [
      'in one line',
      'rooms: [{ limits: { temperature: { low: 21, high: 28 } } }]',
      'high',
      29,
      'rooms: [{ limits: { temperature: { low: 21, high: 29 } } }]',
    ],
    [
      'with a comment behind',
      'rooms:\n  - limits:\n      temperature:\n        high: 28 # why\n        low: 21\n',
      'high',
      29.5,
      'rooms:\n  - limits:\n      temperature:\n        high: 29.5 # why\n        low: 21\n',
    ],
    [
      'in quotes',
      "rooms:\n- limits: {temperature: {advice: 'old'}}",
      'advice',
      'say "now": #1',
      'rooms:\n- limits: {temperature: {advice: "say \\"now\\": #1"}}',
    ],
    [
      'of several lines',
      'rooms:\n  - limits:\n      temperature:\n        advice: |\n          one\n          two\n        high: 28\n',
      'advice',
      'new',
      'rooms:\n  - limits:\n      temperature:\n        advice: "new"\n        high: 28\n',
    ],
    [
      'that is empty',
      'rooms:\n  - limits:\n      temperature:\n        high: # to be found\n        low: 2\n',
      'high',
      28,
      'rooms:\n  - limits:\n      temperature:\n        high: 28 # to be found\n        low: 2\n',
    ],
    [
      'that is null',
      'rooms:\n  - limits:\n      temperature: { high: ~ }\n',
      'high',
      28,
      'rooms:\n  - limits:\n      temperature: { high: 28 }\n',
    ],
    [
      'new in one line',
      'rooms: [{ limits: { temperature: { low: 21, } } }]',
      'high',
      28,
      'rooms: [{ limits: { temperature: { low: 21, high: 28, } } }]',
    ],
    [
      'new in a group of lines',
      'rooms:\n  - limits:\n      temperature:\n        low: 21 # cold\n      humidity: { low: 3 }\n',
      'high',
      28,
      'rooms:\n  - limits:\n      temperature:\n        low: 21 # cold\n        high: 28\n      humidity: { low: 3 }\n',
    ],
    [
      'new at the end of the file',
      'rooms:\n  - limits:\n      temperature:\n        low: 21',
      'high',
      28,
      'rooms:\n  - limits:\n      temperature:\n        low: 21\n        high: 28',
    ],
    [
      'new under an empty group',
      'rooms:\n  - limits: {} # none\n',
      'high',
      28,
      'rooms:\n  - limits: { temperature: { high: 28 } } # none\n',
    ],
    [
      'new under nothing',
      'rooms:\n  - limits: # none\n    id: x\n',
      'high',
      28,
      'rooms:\n  - limits: { temperature: { high: 28 } } # none\n    id: x\n',
    ],
    [
      'new with its groups',
      'rooms:\n  - id: x\n    racks:\n      - id: A # first\n\n  - id: y\n',
      'high',
      28,
      'rooms:\n  - id: x\n    racks:\n      - id: A # first\n    limits: { temperature: { high: 28 } }\n\n  - id: y\n',
    ],
    [
      'new with its groups in one line',
      'rooms: [{ id: x }]',
      'high',
      28,
      'rooms: [{ id: x, limits: { temperature: { high: 28 } } }]',
    ],
    ['new in an empty item', 'rooms: [{}]', 'high', 28, 'rooms: [{ limits: { temperature: { high: 28 } } }]'],
    [
      'with the line breaks of the file',
      'rooms:\r\n  - id: x # a\r\n    name: y\r\n',
      'high',
      28,
      'rooms:\r\n  - id: x # a\r\n    name: y\r\n    limits: { temperature: { high: 28 } }\r\n',
    ],
    [
      'in JSON',
      '{"rooms":[{"limits":{"temperature":{"high":28}}}]}',
      'high',
      29,
      '{"rooms":[{"limits":{"temperature":{"high":29}}}]}',
    ],
    [
      'after text of several lines',
      'rooms:\n  - limits:\n      temperature:\n        advice: >-\n          one\n          two\n',
      'high',
      28,
      'rooms:\n  - limits:\n      temperature:\n        advice: >-\n          one\n          two\n        high: 28\n',
    ],
  ])('%s', (_, before, key, value, after) => {
    expect(editYaml(before, [...at, key], value)).toBe(after);
  });
});

describe('taking a value out', () => {
  it.each<[string, string, string, string]>([
    [
      'first in one line',
      'rooms: [{ limits: { temperature: { high: 28, low: 21 } } }]',
      'high',
      'rooms: [{ limits: { temperature: { low: 21 } } }]',
    ],
    [
      'last in one line',
      'rooms: [{ limits: { temperature: { low: 21, high: 28 } } }]',
      'high',
      'rooms: [{ limits: { temperature: { low: 21 } } }]',
    ],
    [
      'with its line and comment',
      'rooms:\n  - limits:\n      temperature:\n        # cold\n        low: 21\n        high: 28 # why\n        priority: 1\n',
      'high',
      'rooms:\n  - limits:\n      temperature:\n        # cold\n        low: 21\n        priority: 1\n',
    ],
    [
      'with groups that are empty then',
      'rooms:\n  - id: x\n    limits:\n      temperature:\n        high: 28\n    name: y\n',
      'high',
      'rooms:\n  - id: x\n    name: y\n',
    ],
    [
      'behind a hyphen',
      'rooms:\n  - limits: { temperature: { high: 28 } }\n    id: x\n',
      'high',
      'rooms:\n  - id: x\n',
    ],
    ['that is not there', 'rooms:\n  - id: x\n', 'high', 'rooms:\n  - id: x\n'],
    [
      'whose group is not there',
      'rooms:\n  - limits: { humidity: { high: 3 } }\n',
      'high',
      'rooms:\n  - limits: { humidity: { high: 3 } }\n',
    ],
  ])('%s', (_, before, key, after) => {
    expect(editYaml(before, [...at, key], undefined)).toBe(after);
  });
});

it.each<[string, string]>([
  ['an alias on the way', 'a: &a { high: 28 }\nrooms:\n  - limits: { temperature: *a }\n'],
  ['a number where a group should be', 'rooms:\n  - limits: 28\n'],
  ['an item that is not there', 'rooms: []\n'],
  ['a group where the value should be', 'rooms:\n  - limits: { temperature: { high: { a: 1 } } }\n'],
])('refuses %s, naming the place', (_, text) => {
  const edit = () => editYaml(text, [...at, 'high'], 29);
  expect(edit).toThrow(AppError);
  expect(edit).toThrow(/rooms\.0\.limits\.temperature\.high cannot be changed/);
});
