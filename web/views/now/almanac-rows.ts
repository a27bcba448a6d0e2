/** The figures of the small table: coming in, going out, left × now, last hour, today. */
import { type Figure, MISSING } from '../../format.ts';
import * as words from '../../words.ts';
import type { Situation } from './situation.ts';

const NONE: Figure = { text: MISSING, unit: '' };

export interface AlmanacRow {
  name: string;
  cells: [now: Figure, lastHour: Figure, today: Figure];
}

/** The figures of the table. Pure. What readings no longer hold is not shown as now. */
export function almanacRows(s: Situation): AlmanacRow[] {
  const { formats, live } = s;
  const quantities = live?.reading?.wire.quantities ?? {};
  const tally = live?.tally ?? null;
  const holds = s.freshness === 'live' || s.freshness === 'typed';
  const now = (figure: (value: number | null) => Figure, name: string) =>
    figure(holds ? (quantities[name] ?? null) : null);
  // What was not recorded is missing, not nothing.
  const today = tally === null || tally.today.coveredMs === 0 ? null : tally.today;
  const lastHour = today === null && (live?.reading ?? null) === null ? null : (tally?.lastHour ?? null);
  const energy = (value: number | undefined) => (value === undefined ? NONE : formats.energy(value));
  // Of a station whose size nobody knows no watt-hours are left to tell.
  const leftWh = holds && live?.projection?.why !== 'noRatedWh' ? (live?.projection?.leftWh ?? null) : null;
  const toFloor = formats.energy(leftWh);
  const change = lastHour?.stateOfChargeChangePct ?? null;
  return [
    {
      name: words.ROWS.in,
      cells: [now(formats.power, 'inputPowerW'), energy(lastHour?.inputWh), energy(today?.inputWh)],
    },
    {
      name: words.ROWS.out,
      cells: [now(formats.power, 'outputPowerW'), energy(lastHour?.outputWh), energy(today?.outputWh)],
    },
    {
      name: words.ROWS.left,
      cells: [
        now(formats.percent, 'stateOfChargePct'),
        signed(formats.percent(change), change),
        leftWh === null ? NONE : { text: toFloor.text, unit: words.toFloor(toFloor.unit) },
      ],
    },
  ];
}

/** A rise shows its sign as a fall does; what rounds to nothing has none. */
const signed = (figure: Figure, change: number | null): Figure =>
  change !== null && change >= 0.5 ? { ...figure, text: `+${figure.text}` } : figure;
