/** How a load was heated. `pressure`: a sterilizer at 121 °C; `steam`: an atmospheric steamer, about 100 °C. */
export type Cycle = 'pressure' | 'steam';

/** Temperature of the containers when they leave the vessel [°C], one standard deviation. */
export interface StartTemperature {
  tempC: number;
  sdK: number;
  /** Where it comes from, a sentence for the list of what was assumed. */
  words: string;
}

/** Wet material under no pressure cannot stay hotter [°C], at sea level. */
export const openVesselC = 100;

/** An opened vessel has let its steam off and stood for some minutes. Assumed. */
const fromCycle: Record<Cycle, { tempC: number; sdK: number; words: string }> = {
  pressure: {
    tempC: 96,
    sdK: 3,
    words:
      'The load starts at 96 °C: it was sterilized at 121 °C, and a vessel is opened at zero gauge, where wet material is at 100 °C at most (assumed; a measured core is better).',
  },
  steam: {
    tempC: 95,
    sdK: 3,
    words:
      'The load starts at 95 °C, as from a steamer at about 100 °C (assumed; a measured core is better).',
  },
};
/** A thermometer pushed into one container of many [K, 1 sd]. Assumed. */
const measuredSdK = 1.5;

/** Start of a load from its cycle, or from a core measured when it was unloaded, which comes first. */
export function startOf(cycle: Cycle, measuredC?: number): StartTemperature {
  if (measuredC === undefined) return fromCycle[cycle];
  return {
    tempC: measuredC,
    sdK: measuredSdK,
    words: `The load starts at ${measuredC.toFixed(0)} °C, as measured in one container.`,
  };
}

/** Where a load starts that is on record [°C]: its core as it was given, if wet material can be so hot, else as assumed. */
export const recordedStartC = (startC: number | null): number =>
  startC === null ? startOf('pressure').tempC : Math.min(openVesselC, startC);
