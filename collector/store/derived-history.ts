import { type DerivedChannel, derivedChannels, deriveSeries } from '../../shared/air/derived.ts';
import type { Farm } from '../../shared/farm/farm.ts';
import type { ReadingsHistory, Series, SeriesQuestion } from '../../shared/readings.ts';

/**
 * Answers series of dew point, vapour pressure deficit and moisture ratio out of the history of the two channels
 * behind each, and all other series as they are.
 */
export function createDerivedHistory(history: ReadingsHistory, farm: () => Farm) {
  let known: { farm: Farm; channels: Map<string, DerivedChannel> } | undefined;
  const channelsOf = (now: Farm): Map<string, DerivedChannel> => {
    if (known?.farm !== now)
      known = { farm: now, channels: new Map(derivedChannels(now).map((one) => [one.id, one])) };
    return known.channels;
  };

  /** Both in buckets of one width where that is to be had. */
  async function pair(
    question: SeriesQuestion,
    { temperature, humidity }: DerivedChannel,
  ): Promise<Series[]> {
    const ids = [temperature.id, humidity.id];
    const both = await Promise.all(ids.map((channel) => history.series({ ...question, channel })));
    const widest = Math.max(...both.map(({ bucketMs }) => bucketMs));
    return Promise.all(
      both.map((one, index) => {
        if (one.bucketMs === widest || one.points.length === 0) return one;
        const maxPoints = Math.max(2, Math.ceil((question.to - question.from) / widest));
        return history.series({ ...question, channel: ids[index]!, maxPoints });
      }),
    );
  }

  return async (question: SeriesQuestion): Promise<Series> => {
    const derived = channelsOf(farm()).get(question.channel);
    if (derived === undefined) return history.series(question);
    const [temperature, humidity] = await pair(question, derived);
    return deriveSeries(question.channel, derived.quantity, temperature!, humidity!);
  };
}
