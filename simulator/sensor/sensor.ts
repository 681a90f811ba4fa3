import type { Sensor, SensorChannel } from '../../shared/farm/schema.ts';
import type { EpochMs } from '../../shared/time.ts';
import { type Random, resumeRandom } from '../random.ts';
import { encode, inUnit } from './payload.ts';
import type { SensorTraits } from './traits.ts';

export interface SensorMessage {
  topic: string;
  payload: string;
  /** When it arrives at the broker. */
  t: EpochMs;
}

export interface SensorState {
  /** Next sending. */
  nextAt: EpochMs;
  /** What its element has reached by now, per channel, in SI units. */
  felt: number[];
  batteryPercent: number;
  ageS: number;
  outageUntil: EpochMs;
  nextOutageAt: EpochMs;
  kept: string[];
  random: number[];
}

/** True values at its place as they are when asked. */
export interface Surroundings {
  temperatureC(): number;
  humidityPercent(): number;
  /** Core of a bag that stands there, or the air where none does. */
  probeC(): number;
  /** Whether the cooler of its room runs, 1 or 0. */
  coolerOn(): number;
}

export interface SimulatedSensor {
  readonly spec: Sensor;
  nextAt(): EpochMs;
  /** The element follows its surroundings for the step that ends at `t`; a contact that switches sends then. */
  feel(t: EpochMs): void;
  /** What arrives at `nextAt`; empty during a drop-out. Then plans the next sending. */
  send(leastSpacingS: number): SensorMessage[];
  save(): SensorState;
}

const mostKept = 60;
const monthS = 30 * 86_400;

/** A contact closes at once, and a charge is counted, not felt. */
const isAtOnce = ({ quantity }: SensorChannel): boolean => quantity === 'battery' || quantity === 'cooler-on';

/** What stands for a cooler that runs, in the unit of its channel. */
const onAs = ({ unit, onAboveW }: SensorChannel): number =>
  unit === 'W' ? 2.5 * (onAboveW ?? 0) : unit === '%' ? 100 : 1;

const trueValue = (channel: SensorChannel, around: Surroundings, state: SensorState): number => {
  switch (channel.quantity) {
    case 'temperature':
      return around.temperatureC();
    case 'probe-temperature':
      return around.probeC();
    case 'humidity':
      return around.humidityPercent();
    case 'battery':
      return state.batteryPercent;
    case 'co2':
      return 650;
    case 'pressure':
      return 101_325;
    case 'cooler-on':
      return 100 * around.coolerOn();
  }
};

export function freshSensorState(
  spec: Sensor,
  traits: SensorTraits,
  around: Surroundings,
  startAt: EpochMs,
  random: Random,
): SensorState {
  const state: SensorState = {
    nextAt: startAt + Math.floor(random.between(0, spec.everyS * 1000)),
    felt: [],
    batteryPercent: traits.batteryDays > 0 ? random.between(35, 100) : 100,
    ageS: 0,
    outageUntil: 0,
    nextOutageAt: startAt + Math.floor(random.exponential(traits.outageEveryH * 3_600_000)),
    kept: [],
    random: random.state(),
  };
  state.felt = spec.channels.map((channel) => trueValue(channel, around, state));
  return state;
}

export function createSensor(
  spec: Sensor,
  traits: SensorTraits,
  state: SensorState,
  around: Surroundings,
  stepS: number,
): SimulatedSensor {
  const random = resumeRandom(state.random);
  const keep = Math.exp(-stepS / traits.lagS);

  const measure = (channel: SensorChannel, felt: number): number => {
    const drift = (traits.driftKPerMonth * state.ageS) / monthS;
    const quantise = (value: number, step: number) => Math.round(value / step) * step;
    switch (channel.quantity) {
      case 'temperature':
      case 'probe-temperature': {
        const value = felt + traits.offsetK + drift + random.normal(0, traits.noiseK);
        return quantise(inUnit(value, channel.unit), traits.stepTemperature);
      }
      case 'humidity': {
        const error = 8 * (traits.offsetK + drift) + random.normal(0, traits.noiseRhPercent);
        const percent = Math.min(100, Math.max(0, quantise(felt + error, traits.stepHumidity)));
        return inUnit(percent, channel.unit);
      }
      case 'battery':
        return inUnit(Math.round(felt), channel.unit);
      case 'co2':
        return inUnit(Math.round(felt + random.normal(0, 15)), channel.unit);
      case 'pressure':
        return inUnit(Math.round(felt + random.normal(0, 20)), channel.unit);
      case 'cooler-on':
        return felt > 50 ? onAs(channel) : 0;
    }
  };

  const away = (t: EpochMs): boolean => {
    if (t >= state.nextOutageAt) {
      state.outageUntil = t + random.exponential(traits.outageMin * 60_000);
      state.nextOutageAt = state.outageUntil + random.exponential(traits.outageEveryH * 3_600_000);
    }
    return t < state.outageUntil;
  };

  return {
    spec,
    nextAt: () => state.nextAt,
    feel(t) {
      state.ageS += stepS;
      if (traits.batteryDays > 0)
        state.batteryPercent = Math.max(
          0,
          state.batteryPercent - (100 * stepS) / (traits.batteryDays * 86_400),
        );
      spec.channels.forEach((channel, i) => {
        const value = trueValue(channel, around, state);
        if (channel.quantity === 'cooler-on' && value !== state.felt[i])
          state.nextAt = Math.min(state.nextAt, t);
        state.felt[i] = isAtOnce(channel) ? value : value + keep * (state.felt[i]! - value);
      });
    },
    send(leastSpacingS) {
      const t = state.nextAt;
      state.nextAt += 1000 * Math.max(spec.everyS, leastSpacingS);
      const values = spec.channels.map((channel, i) => measure(channel, state.felt[i]!));
      const payload = encode(spec, values, t - random.below(1_500), traits.timeFormat);
      const message = (text: string): SensorMessage => ({ topic: spec.topic, payload: text, t });
      if (away(t)) {
        if (traits.buffers && state.kept.length < mostKept) state.kept.push(payload);
        return [];
      }
      return [...state.kept.splice(0), payload].map(message);
    },
    save: () => structuredClone({ ...state, random: random.state() }),
  };
}
