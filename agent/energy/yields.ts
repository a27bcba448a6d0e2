/**
 * How well panels do, whatever their size and weather: the yields of IEC 61724-1, with the names of B. Marion et al.,
 * Performance Parameters for Grid-Connected PV Systems, 31st IEEE PVSC (2005), NREL/CP-520-37358.
 *
 * Yields in hours (kWh per kW, and kWh/m² per 1 kW/m²). Energy and irradiation must come from the same recorded time:
 * what was not recorded is left out of both and told by the availability, never counted as zero.
 */

/** Irradiance at which a panel's rating is stated, kW/m². */
const REFERENCE_KW_M2 = 1;

/** Yr: hours of full sun that would have given the irradiation on the plane. */
export const referenceYieldH = (planeKwhM2: number): number => planeKwhM2 / REFERENCE_KW_M2;

/** Ya of the energy out of the panels, Yf of the energy out of the system: hours at full rating. */
export const yieldH = (energyKwh: number, peakKw: number): number => energyKwh / peakKw;

/** PR = Yf / Yr; null where there was no sun to be measured against. */
export const performanceRatio = (finalH: number, referenceH: number): number | null =>
  referenceH > 0 ? finalH / referenceH : null;

/** LC = Yr − Ya: lost in the panels (heat, dirt, shade, snow), hours. */
export const captureLossH = (referenceH: number, arrayH: number): number => referenceH - arrayH;

/** LBOS = Ya − Yf: lost behind the panels (leads, converter), hours. */
export const systemLossH = (arrayH: number, finalH: number): number => arrayH - finalH;

/** Share of what full rating around the clock would have given. */
export const capacityFactor = (energyKwh: number, peakKw: number, hours: number): number =>
  energyKwh / (peakKw * hours);

/** Share of the expected records that are there and valid, 0 to 1; null where none was expected. */
export const dataAvailability = (valid: number, expected: number): number | null =>
  expected > 0 ? valid / expected : null;

/** One interval in which power, light and cell temperature are all known. */
export interface TemperatureRecord {
  powerW: number;
  planeWm2: number;
  cellTempC: number;
}

/**
 * PR with the warmth of the cells taken out: Σ P / Σ P0·G/1000·(1 + γ (Tc − Tref)). T. Dierauf et al.,
 * Weather-Corrected Performance Ratio, NREL/TP-5200-57991 (2013), eq. 3 (number from memory).
 *
 * @param records equally long
 * @param powerPerK relative change of power a kelvin, negative
 * @param referenceTempC fixed: 25 °C or a year's mean. The mean of the same records would only give PR again.
 * @returns null where there was no sun
 */
export function temperatureCorrectedRatio(
  records: readonly TemperatureRecord[],
  peakW: number,
  powerPerK: number,
  referenceTempC = 25,
): number | null {
  const expectedW = records.reduce(
    (sum, r) => sum + ((peakW * r.planeWm2) / 1000) * (1 + powerPerK * (r.cellTempC - referenceTempC)),
    0,
  );
  return expectedW > 0 ? records.reduce((sum, r) => sum + r.powerW, 0) / expectedW : null;
}
