/**
 * A made-up season of the honey shed as the agent tells it: 400 W of panels, clear and cloudy spells, a tree in the west,
 * partly recorded and missing days, a span, dated facts, a tariff. Pure: the same dates give the same answer.
 */
import { shiftDate } from '#energy/civil-day';
import type { LedgerAnswer, LedgerDay } from '#messages';
import { shedDay, ZONE } from './honey-shed.ts';

export interface SeasonChoices {
  station?: string;
  today?: string;
  /** Dates of which nothing is recorded, beside those of the span. */
  missing?: readonly string[];
  /** Dates recorded from noon on only. */
  partly?: readonly string[];
  spans?: LedgerAnswer['spans'];
  facts?: LedgerAnswer['facts'];
  money?: LedgerAnswer['money'];
  /** Whether the shed's place is known; without it there is no clear sky. */
  placed?: boolean;
  /** Whether a tree takes the late afternoon. */
  shaded?: boolean;
  /** Whether the station counts by itself. */
  counted?: boolean;
  stepMin?: number;
}

const RATED_W = 400;
const PER_WH = 0.34 / 1000;
const round = (value: number, digits = 3) => Math.round(value * 10 ** digits) / 10 ** digits;
const iso = (date: string, hour = 0) =>
  new Date(Date.parse(`${date}T00:00:00Z`) + (hour - 1) * 3_600_000).toISOString();

/** Noise in [0, 1) of a day: a 32-bit mix. */
function noise(seed: number): number {
  let x = Math.imul(seed ^ 0x9e3779b9, 0x85ebca6b);
  x = Math.imul(x ^ (x >>> 13), 0xc2b2ae35);
  return ((x ^ (x >>> 16)) >>> 0) / 2 ** 32;
}

const dayNumber = (date: string): number => Math.round(Date.parse(`${date}T00:00:00Z`) / 86_400_000);
/** −1 at midwinter to 1 at midsummer. */
const seasonOf = (date: string): number => -Math.cos(((dayNumber(date) + 10) / 365.25) * 2 * Math.PI);

/** Watts a cloudless sky gives at an hour of the civil day. */
function clearW(date: string, hour: number): number {
  const season = seasonOf(date);
  const half = 6 + 1.9 * season;
  const from = 13 - half;
  const along = (hour - from) / (2 * half);
  return along <= 0 || along >= 1 ? 0 : (215 + 55 * season) * Math.sin(along * Math.PI) ** 1.25;
}

/** Share of the clear sky that comes through: whole days clear or grey, with clouds between. */
function cloudShare(date: string, slot: number): number {
  const day = dayNumber(date);
  const mood = noise(day);
  if (mood < 0.17) return 0.22 + 0.3 * noise(day * 97 + slot);
  if (mood < 0.45) return 0.72 + 0.26 * noise(day * 97 + Math.floor(slot / 2));
  return 0.95 + 0.05 * noise(day * 97 + slot);
}

/** A tree in the west: its band begins later in summer and moves with the sun. */
const isShaded = (date: string, hour: number): boolean => {
  const from = 16.2 + 0.8 * seasonOf(date);
  return hour >= from && hour < from + 1;
};

/** Watts by time of day, what they sum to, and where the rest went; recorded from `fromHour` on. */
function dayOf(date: string, fromHour: number, stepMin: number, shaded: boolean, toHour = 24) {
  const slots = 1440 / stepMin;
  const hours = stepMin / 60;
  const row: (number | null)[] = [];
  const sums = { clear: 0, solar: 0, cloud: 0, shade: 0, notRecorded: 0, ahead: 0 };
  for (let slot = 0; slot < slots; slot++) {
    const hour = (slot + 0.5) * hours;
    const clear = clearW(date, hour);
    sums.clear += clear * hours;
    if (hour < fromHour || hour >= toHour) {
      row.push(null);
      sums[hour < fromHour ? 'notRecorded' : 'ahead'] += clear * hours;
      continue;
    }
    const through = clear * cloudShare(date, slot);
    const watts = through * (shaded && isShaded(date, hour) ? 0.22 : 1);
    row.push(round(watts, 1));
    sums.solar += watts * hours;
    sums.cloud += (clear - through) * hours;
    sums.shade += (through - watts) * hours;
  }
  return { row, sums };
}

function rowOf(date: string, choices: SeasonChoices): { day: LedgerDay; row: (number | null)[] } {
  const { placed = true, shaded = true, counted = false, stepMin = 30, money, today } = choices;
  const partly = choices.partly?.includes(date) === true;
  const { row, sums } = dayOf(date, partly ? 12 : 0, stepMin, shaded, date === today ? 14 : 24);
  const full = noise(dayNumber(date) + 7) > 0.9 ? round(sums.solar * 0.04) : 0;
  const solarWh = round(sums.solar - full);
  const other = round(0.02 * sums.solar * (noise(dayNumber(date) + 3) - 0.3));
  return {
    row,
    day: {
      ...shedDay(date, {
        solarWh,
        inputWh: solarWh,
        coveragePct: partly ? 50 : 100,
        solarPeakW: round(Math.max(...row.map(w => w ?? 0)), 0),
      }),
      startAt: iso(date),
      endAt: iso(shiftDate(date, 1)),
      ratedW: RATED_W,
      clearSkyWh: placed ? round(sums.clear + other) : null,
      finalYieldH: round(solarWh / RATED_W),
      referenceYieldH: placed ? round((sums.clear - sums.notRecorded - sums.ahead) / 330) : null,
      referenceFrom: placed ? 'clear sky' : null,
      performanceRatio: placed ? round(solarWh / RATED_W / ((sums.clear - sums.notRecorded - sums.ahead) / 330)) : null,
      fullMin: full > 0 ? 35 : 0,
      portLimitMin: 0,
      whereItWent: placed
        ? {
            cloudWh: round(sums.cloud),
            shadeWh: round(sums.shade),
            fullWh: full,
            portLimitWh: 0,
            notOutWh: 0,
            notRecordedWh: round(sums.notRecorded),
            aheadWh: round(sums.ahead),
            otherWh: other,
          }
        : null,
      worth: money === null ? null : round(solarWh * PER_WH, 4),
      counted: counted
        ? { solarWh: round(solarWh * 1.012), inputWh: null, outputWh: null, bridgedSolarWh: partly ? 120 : 0 }
        : null,
    },
  };
}

/** A counter that shows 1.2 % more than its watts, and what it gained in the mornings that were not recorded. */
function countersOf(days: readonly LedgerDay[], partly: readonly string[]): Pick<LedgerAnswer, 'bridges' | 'counters'> {
  const quantity = 'solarEnergyWh';
  const integratedWh = round(days.reduce((sum, { solarWh }) => sum + solarWh, 0));
  const apartWh = round(integratedWh * 0.012);
  const mornings = days.filter(({ date }) => partly.includes(date));
  const bridgedWh = 120 * mornings.length;
  return {
    bridges: mornings.map(({ date }) => ({
      fromAt: iso(date, 4),
      toAt: iso(date, 10),
      quantity,
      energyWh: 120,
      cause: 'counted',
      gapMs: 6 * 3_600_000,
    })),
    counters: [
      {
        quantity,
        countedWh: integratedWh + apartWh + bridgedWh,
        bridgedWh,
        unknown: 0,
        apart: {
          quantity,
          countedWh: integratedWh + apartWh,
          integratedWh,
          differenceWh: apartWh,
          differencePct: 1.2,
          allowedWh: 12,
          beyond: apartWh > 12,
        },
      },
    ],
  };
}

/** The answer for dates `from` to `to`, both included; the record begins at `from`. */
export function ledgerSeason(from: string, to: string, choices: SeasonChoices = {}): LedgerAnswer {
  const today = choices.today ?? to;
  const money = choices.money === undefined ? { currency: 'EUR', paid: 690 } : choices.money;
  const all = { ...choices, today, money };
  const days: LedgerDay[] = [];
  const rows: (number | null)[][] = [];
  const missing: LedgerAnswer['missing'] = [];
  const placed = choices.placed ?? true;
  for (let date = from; date <= to && date <= today; date = shiftDate(date, 1)) {
    if (choices.missing?.includes(date)) {
      const { sums } = dayOf(date, 0, 60, false);
      const clearSkyWh = placed ? round(sums.clear) : null;
      missing.push({ date, clearSkyWh, notOutWh: LENT.includes(date) ? clearSkyWh : 0 });
      continue;
    }
    const { day, row } = rowOf(date, all);
    days.push(day);
    rows.push(row);
  }
  return {
    station: choices.station ?? 'shed',
    zone: ZONE,
    today,
    days,
    missing,
    carpet: { stepMin: choices.stepMin ?? 30, rows },
    facts: choices.facts ?? [],
    spans: choices.spans ?? [],
    ...(choices.counted === true ? countersOf(days, choices.partly ?? []) : { bridges: [] }),
    money,
  };
}

/** The same for what the page asks: of the dates from `from` to `to` those on record, which begins with `begins`. */
const asked =
  (begins: string, ends: string, choices: SeasonChoices) =>
  (station: string, from: string, to: string): LedgerAnswer =>
    ledgerSeason(begins > from ? begins : from, to < ends ? to : ends, { ...choices, station });

/** The forty days before the shed's evening. */
export const autumn = asked('2026-09-30', '2026-11-08', {
  today: '2026-11-08',
  partly: ['2026-10-07', '2026-10-16', '2026-10-25', '2026-11-03'],
});

const LENT = ['2026-08-05', '2026-08-06', '2026-08-07'];

/** A summer from June to mid-September: lent for three days, a panel added in July, one day missing, three only in part. */
export const summer = asked('2026-06-01', '2026-09-12', {
  today: '2026-09-12',
  missing: [...LENT, '2026-07-25'],
  partly: ['2026-07-26', '2026-07-30', '2026-08-04'],
  spans: [
    {
      reason: 'lent',
      fromAt: iso('2026-08-04', 18),
      toAt: iso('2026-08-08', 7),
      note: 'to the neighbour',
      beforePct: 92,
      afterPct: 31,
    },
  ],
  facts: [
    { validFromAt: iso('2026-06-01'), key: 'panel', valueJson: '[{"name":"folding","ratedW":200,"count":1}]' },
    { validFromAt: iso('2026-07-04', 10), key: 'panel', valueJson: '[{"name":"folding","ratedW":200,"count":2}]' },
    { validFromAt: iso('2026-06-01'), key: 'tariff', valueJson: '{"perKWh":0.31,"currency":"EUR"}' },
    { validFromAt: iso('2026-08-20', 12), key: 'tariff', valueJson: '{"perKWh":0.34,"currency":"EUR"}' },
  ],
  counted: true,
});

/** More than two years, each day of it recorded. */
export const years = asked('2024-05-20', '2026-09-12', { today: '2026-09-12', money: { currency: 'EUR', paid: 350 } });

/** Noon of the summer's last day, at which a page may stand. */
export const SUMMER_AT = Date.UTC(2026, 8, 12, 12, 0);
