/** What the Ledger's drawing shows: a bar a day, kinds of bars, a scale, and names on the axis. Pure. */
import { asText, type Formats, type Times } from '../format.ts';
import type { LedgerDay } from '../views/ledger/figures.ts';
import * as words from '../words/ledger.ts';

type Cells = (number | null)[];

export interface LedgerPicture {
  days: readonly LedgerDay[];
  /** Slot of each day, 0 up. */
  slots: number[];
  whole: Cells;
  partly: Cells;
  today: Cells;
  topWh: number;
  /** Values and words of the scale; the unit stands over them. */
  scale: { wh: number; label: string }[];
  unit: string;
  names: { slot: number; label: string }[];
  /** How much of a partly recorded day was recorded, for bars wide enough. */
  shares: { slot: number; wh: number; label: string }[];
}

/** Narrower bars than this cannot be told apart, CSS px. */
const LEAST_SLOT_PX = 3;
const SHARE_FROM_PX = 30;
/** Up to here days are named, beyond it months. */
const NAMED_DAYS = 45;

export function ledgerPicture(
  all: readonly LedgerDay[],
  widthPx: number,
  formats: Formats,
  times: Times,
): LedgerPicture {
  const days = all.slice(-Math.max(1, Math.floor(widthPx / LEAST_SLOT_PX)));
  const of = (kind: LedgerDay['kind']): Cells => days.map(d => (d.kind === kind ? d.day!.solarWh : null));
  const most = Math.max(1, ...days.map(d => d.day?.solarWh ?? 0));
  const step = niceStep(most / 3.5);
  const kilo = most >= 10_000;
  const scale: LedgerPicture['scale'] = [];
  for (let wh = step; wh <= most * 1.02; wh += step) {
    scale.push({ wh, label: formats.number(kilo ? wh / 1000 : wh, kilo && step % 1000 !== 0 ? 1 : 0) });
  }
  const slotPx = widthPx / days.length;
  return {
    days,
    slots: days.map((_, i) => i),
    whole: of('whole'),
    partly: of('partly'),
    today: of('today'),
    topWh: most * 1.06,
    scale,
    unit: kilo ? 'kWh' : 'Wh',
    names: days.length > NAMED_DAYS ? monthNames(days, times) : dayNames(days, slotPx, times),
    shares: days.flatMap((d, slot) =>
      d.kind === 'partly' && slotPx >= SHARE_FROM_PX
        ? [{ slot, wh: d.day!.solarWh, label: asText(formats.percent(Math.floor(d.day!.coveragePct))) }]
        : [],
    ),
  };
}

/** 1, 2 or 5 times a power of ten, at least `least`. */
function niceStep(least: number): number {
  const power = 10 ** Math.floor(Math.log10(Math.max(1, least)));
  return [1, 2, 5, 10].map(n => n * power).find(n => n >= least)!;
}

function monthNames(days: readonly LedgerDay[], times: Times) {
  return days.flatMap((d, slot) => {
    // A month that only just begins or ends at the left edge has no room for its name.
    const first = d.date.endsWith('-01') || (slot === 0 && Number(d.date.slice(8)) < 20);
    return first ? [{ slot, label: times.month(d.date).split(' ')[0]! }] : [];
  });
}

function dayNames(days: readonly LedgerDay[], slotPx: number, times: Times) {
  const every = [1, 2, 7, 14].find(n => n * slotPx >= 76) ?? 14;
  const today = days.at(-1)!.date;
  return days.flatMap((d, slot) => {
    const back = days.length - 1 - slot;
    if (back % every !== 0) return [];
    return [
      {
        slot,
        label: d.kind === 'today' ? words.today : times.dayMonth(d.date, today).replace(/(\p{L}{3})\p{L}*/u, '$1'),
      },
    ];
  });
}
