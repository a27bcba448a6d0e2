/** What the verb `ledger` says of a station's own counters, under its table. Energies Wh. */
import type { CounterName } from '#kit';
import type { CounterSum } from '#messages';

const COUNTS: Readonly<Record<CounterName, string>> = {
  solarEnergyWh: 'from the sun',
  inputEnergyWh: 'coming in',
  chargerEnergyWh: 'from wall or vehicle',
  outputEnergyWh: 'going out',
  meterEnergyWh: 'at the meter',
};

const whole = (wh: number): string => `${Math.round(wh)} Wh`;

/** One counter in a line; the two ledgers stand beside each other and are never added. */
export function counterLine({ quantity, countedWh, bridgedWh, unknown, apart }: CounterSum): string {
  const gaps = bridgedWh < 0.5 ? '' : `, ${whole(bridgedWh)} of it while nothing was recorded`;
  const lost = unknown === 0 ? '' : `, ${unknown === 1 ? 'once' : `${unknown} times`} not known`;
  const differs =
    apart === null || !apart.beyond || apart.differencePct === null
      ? ''
      : `; ${Math.abs(apart.differencePct).toFixed(1)} % ${apart.differencePct > 0 ? 'more' : 'less'} than its own watts add up to`;
  return `The station counted ${whole(countedWh)} ${COUNTS[quantity]}${gaps}${lost}${differs}.`;
}
