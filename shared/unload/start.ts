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
const fromCycle: StartTemperature = {
  tempC: 96,
  sdK: 3,
  words:
    'The load starts at 96 °C: it was sterilized at 121 °C, and a vessel is opened at zero gauge, where wet material is at 100 °C at most (assumed; a measured core is better).',
};
/** A thermometer pushed into one container of many [K, 1 sd]. Assumed. */
const measuredSdK = 1.5;

/** Start of a load from a sterilizer's cycle, or from a core measured when it was unloaded, which comes first. */
export function startOf(measuredC?: number): StartTemperature {
  if (measuredC === undefined) return fromCycle;
  return {
    tempC: measuredC,
    sdK: measuredSdK,
    words: `The load starts at ${measuredC.toFixed(0)} °C, as measured in one container.`,
  };
}

/** Where a load starts that is on record [°C]: its core as it was given, if wet material can be so hot, else as assumed. */
export const recordedStartC = (startC: number | null): number =>
  startC === null ? fromCycle.tempC : Math.min(openVesselC, startC);
