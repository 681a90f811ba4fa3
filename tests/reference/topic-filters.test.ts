import { describe, expect, it } from 'vitest';
import { topicFilterProblem, topicMatches, topicProblem } from '../../collector/intake/topic-filter.ts';

// Source: OASIS MQTT Version 5.0, section 4.7, the examples in its non-normative comments.
const cases: [filter: string, topic: string, matches: boolean][] = [
  // 4.7.1.2 multi-level wildcard
  ['sport/tennis/player1/#', 'sport/tennis/player1', true],
  ['sport/tennis/player1/#', 'sport/tennis/player1/ranking', true],
  ['sport/tennis/player1/#', 'sport/tennis/player1/score/wimbledon', true],
  ['sport/#', 'sport', true],
  ['#', 'sport/tennis/player1', true],
  // 4.7.1.3 single-level wildcard
  ['sport/tennis/+', 'sport/tennis/player1', true],
  ['sport/tennis/+', 'sport/tennis/player2', true],
  ['sport/tennis/+', 'sport/tennis/player1/ranking', false],
  ['sport/+', 'sport', false],
  ['sport/+', 'sport/', true],
  ['sport/+/player1', 'sport/tennis/player1', true],
  ['+/tennis/#', 'sport/tennis/player1', true],
  ['+/+', '/finance', true],
  ['/+', '/finance', true],
  ['+', '/finance', false],
  // 4.7.2 topics beginning with $
  ['#', '$SYS/monitor/Clients', false],
  ['+/monitor/Clients', '$SYS/monitor/Clients', false],
  ['+/x', '$SYS/x', false],
  ['$SYS/#', '$SYS/monitor/Clients', true],
  ['$SYS/monitor/+', '$SYS/monitor/Clients', true],
  // 4.7.3 names are compared as they are: case, blanks and empty levels count
  ['ACCOUNTS', 'Accounts', false],
  ['/finance', 'finance', false],
  ['Accounts payable', 'Accounts payable', true],
  ['/', '/', true],
  ['finance', 'finance/', false],
];

describe('OASIS MQTT 5.0 section 4.7', () => {
  it.each(cases)('%s on %s: %s', (filter, topic, matches) => {
    expect(topicFilterProblem(filter)).toBeUndefined();
    expect(topicProblem(topic)).toBeUndefined();
    expect(topicMatches(filter, topic)).toBe(matches);
  });

  it.each(['sport/tennis#', 'sport/tennis/#/ranking', 'sport+', '', 'a\0b', '#/', '+a/b', `a${'\ud800'}`])(
    'refuses the filter %j',
    (filter) => {
      expect(topicFilterProblem(filter)).toEqual(expect.any(String));
    },
  );

  it('refuses wildcards in a topic that is published to (4.7.1)', () => {
    expect(topicProblem('sport/+')).toMatch(/wildcards/);
    expect(topicProblem('sport/#')).toMatch(/wildcards/);
  });

  it('allows 65,535 bytes of UTF-8 and no more (4.7.3)', () => {
    expect(topicFilterProblem('a'.repeat(65_535))).toBeUndefined();
    expect(topicFilterProblem('a'.repeat(65_536))).toMatch(/65535 bytes/);
    expect(topicFilterProblem('ü'.repeat(32_768))).toMatch(/65535 bytes/);
    expect(topicFilterProblem('ü'.repeat(32_767))).toBeUndefined();
  });
});
