/** Days of the honey shed as the agent tells them to the page of one day. */
import { civilDate, shiftDate, startOfDate } from '#energy/civil-day';
import { type Night, nightsIn } from '#energy/nights';
import type { LedgerDayAnswer, SeriesAnswer } from '#messages';
import { EVENING_AT, PLACE, shedDay, shedSeries, ZONE } from './honey-shed.ts';

const HOUR_MS = 3_600_000;
const STEP_MS = 300_000;
const iso = (ms: number) => new Date(ms).toISOString();

const wireNight = ({ fromMs, toMs, sunsetAt, sunriseAt }: Night) => ({
  fromAt: iso(fromMs),
  toAt: iso(toMs),
  sunsetAt: sunsetAt === null ? null : iso(sunsetAt),
  sunriseAt: sunriseAt === null ? null : iso(sunriseAt),
});

/** A day of which nothing is known. */
export function bareDay(more: Partial<LedgerDayAnswer> & { date: string }): LedgerDayAnswer {
  const { date, zone = ZONE } = more;
  return {
    station: 'shed',
    zone,
    today: civilDate(EVENING_AT, zone),
    startAt: iso(startOfDate(date, zone)),
    endAt: iso(startOfDate(shiftDate(date, 1), zone)),
    day: null,
    previous: null,
    next: null,
    nights: nightsIn(startOfDate(date, zone), startOfDate(shiftDate(date, 1), zone), PLACE).map(wireNight),
    clearSky: null,
    outages: [],
    spans: [],
    lasting: [],
    marks: [],
    notes: [],
    ...more,
  };
}

/** A plain crest of `peakW` around a quarter past twelve. */
export function crest(startMs: number, endMs: number, peakW: number): LedgerDayAnswer['clearSky'] {
  const powerW = Array.from({ length: Math.ceil((endMs - startMs) / STEP_MS) }, (_, i) => {
    const hour = ((i + 0.5) * STEP_MS) / HOUR_MS;
    return Math.max(0, peakW * Math.sin(((hour - 7.2) / 9.7) * Math.PI));
  });
  return { stepMs: STEP_MS, powerW };
}

export const GAP_DATE = '2026-11-06';
const gapDayAt = startOfDate(GAP_DATE, ZONE);
const hours = (hour: number) => gapDayAt + hour * HOUR_MS;
export const LENT = { fromMs: hours(13), toMs: hours(15.5) };

/** The sixth of November: lent from 13:00 to 15:30, a mark, two notes, an outage. */
export const lentDay = (more: Partial<LedgerDayAnswer> = {}): LedgerDayAnswer => {
  const bare = bareDay({ date: GAP_DATE });
  return {
    ...bare,
    day: {
      ...shedDay(GAP_DATE, { solarWh: 1028, inputWh: 1028, outputWh: 920, coveragePct: 89.6 }),
      coveredMs: 21.5 * HOUR_MS,
    },
    previous: '2026-11-05',
    next: '2026-11-07',
    clearSky: crest(Date.parse(bare.startAt), Date.parse(bare.endAt), 340),
    spans: [
      { reason: 'lent', fromAt: iso(LENT.fromMs), toAt: iso(LENT.toMs), note: 'to Ida', beforePct: 72, afterPct: 31 },
      {
        reason: 'noReading',
        fromAt: iso(LENT.fromMs),
        toAt: iso(LENT.toMs),
        note: '',
        beforePct: null,
        afterPct: null,
      },
    ],
    outages: [
      {
        startedAt: iso(hours(18)),
        endedAt: iso(hours(19)),
        startPct: 60,
        endPct: 55,
        lowestPct: 55,
        outputWh: 60,
        inputWh: 0,
        promised: null,
        floorAt: null,
      },
    ],
    marks: [{ letter: 'A', at: iso(hours(10)), spot: 'Step', meanW: 212, note: '' }],
    notes: [
      { id: 1, date: GAP_DATE, at: null, text: 'The first frost.', writtenAt: iso(EVENING_AT) },
      {
        id: 2,
        date: GAP_DATE,
        at: iso(hours(11.5)),
        text: 'Moved the panels\nout of the shade.',
        writtenAt: iso(EVENING_AT),
      },
    ],
    ...more,
  };
};

/** A day of the shed's last week, the same every day but for the hours it was lent; of earlier days nothing is recorded. */
export function daySeries(fromMs: number, toMs: number): SeriesAnswer {
  if (fromMs >= EVENING_AT - 7 * 24 * HOUR_MS) return shedSeries(fromMs, toMs, LENT);
  return { station: 'shed', startAt: iso(fromMs), stepMs: 60_000, count: 0, columns: {} };
}
