/**
 * Ways in which equal panels may be wired into a port, and the volts that the port then sees. A station tells volts but
 * not its wiring, so every way the port would bear is kept in mind. V, °C; from the label of one panel.
 *
 * Volts at maximum power fall with warmth 1.28 times as fast as open-circuit volts (median of 166 measured modules,
 * Sandia module library 2015) and by 1.5 % for each fall of the light to 1/e (own judgement on the single diode).
 */
import type { Wired } from './few-asked.ts';

const FASTER = 1.28;
/** Where the label was not told, 1/K; and Vmp / Voc of silicon (both medians of the same library). */
const OPEN_PER_K = -0.0035;
const MAX_POWER_OF_OPEN = 0.8;
const PER_E_OF_LIGHT = 0.015;
/** A port may be told a little too narrow. */
const ROOM = 1.03;

export interface Wiring {
  readonly series: number;
  readonly parallel: number;
}

/** Every way of wiring them equally that the port bears; all of them where it seems to bear none. */
export function wiringsOf({ count, maxPowerV, openCircuitV, port }: Wired): Wiring[] {
  if (count === null) return [];
  const ways = Array.from({ length: count }, (_, i) => i + 1)
    .filter(series => count % series === 0)
    .map(series => ({ series, parallel: count / series }));
  const open = openCircuitV ?? (maxPowerV === null ? null : maxPowerV / MAX_POWER_OF_OPEN);
  const borne = ways.filter(
    ({ series }) =>
      (open === null || port.maxV === null || series * open <= port.maxV * ROOM) &&
      (maxPowerV === null || port.minV === null || series * maxPowerV * ROOM >= port.minV),
  );
  return borne.length > 0 ? borne : ways;
}

/** What one panel has at maximum power and open; null where its label was not told. */
export interface PanelVolts {
  readonly atMaxPower: (lightShare: number, cellTempC: number) => number;
  readonly open: (lightShare: number, cellTempC: number) => number;
  /** Of the volts at maximum power, 1/K. */
  readonly perK: number;
}

/** @returns by share of 1000 W/m² and warmth of the cells */
export function panelVolts({ maxPowerV, openCircuitV, openCircuitPerK }: Wired): PanelVolts | null {
  const best = maxPowerV ?? (openCircuitV === null ? null : openCircuitV * MAX_POWER_OF_OPEN);
  if (best === null) return null;
  const open = openCircuitV ?? best / MAX_POWER_OF_OPEN;
  const openPerK = openCircuitPerK ?? OPEN_PER_K;
  const fall = (share: number) => PER_E_OF_LIGHT * Math.log(Math.max(0.01, share));
  const perK = openPerK * FASTER;
  return {
    atMaxPower: (share, tempC) => best * (1 + fall(share) + perK * (tempC - 25)),
    // Open volts fall with the light by the diode's own logarithm, some 4 % for each fall to 1/e.
    open: (share, tempC) => open * (1 + 0.04 * Math.log(Math.max(0.01, share)) + openPerK * (tempC - 25)),
    perK,
  };
}
