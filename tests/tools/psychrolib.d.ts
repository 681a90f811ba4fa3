/** What the psychrometrics check uses of a package that has no types of its own. */
declare module 'psychrolib' {
  const psychrolib: {
    SI: number;
    SetUnitSystem(system: number): void;
    GetSatVapPres(tempC: number): number;
    GetTDewPointFromRelHum(tempC: number, relativeHumidity: number): number;
    GetHumRatioFromRelHum(tempC: number, relativeHumidity: number, pressurePa: number): number;
    GetTWetBulbFromRelHum(tempC: number, relativeHumidity: number, pressurePa: number): number;
    GetVaporPressureDeficit(tempC: number, humidityRatio: number, pressurePa: number): number;
  };
  export default psychrolib;
}
