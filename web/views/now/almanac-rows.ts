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
  const energy = (value: number | undefined) => (value === undefined ? NONE : formats.energy(value));
  const leftWh = holds ? (live?.projection?.leftWh ?? null) : null;
  const toFloor = formats.energy(leftWh);
  const change = tally?.lastHour.stateOfChargeChangePct ?? null;
  return [
    {
      name: words.ROWS.in,
      cells: [now(formats.power, 'inputPowerW'), energy(tally?.lastHour.inputWh), energy(tally?.today.inputWh)],
    },
    {
      name: words.ROWS.out,
      cells: [now(formats.power, 'outputPowerW'), energy(tally?.lastHour.outputWh), energy(tally?.today.outputWh)],
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
