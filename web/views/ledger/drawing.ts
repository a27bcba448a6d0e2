/** The Ledger's days as the drawing takes them, with its words: what each column says, what happened under the axis. */
import { zoneOffsetMs } from '#energy/civil-day';
import type { LedgerAnswer } from '#messages';
import type { LedgerShown } from '../../charts/ledger-chart.ts';
import type { Bin, Column } from '../../charts/ledger-columns.ts';
import { asText, type Formats, type Times } from '../../format.ts';
import * as words from '../../words/ledger.ts';
import { dayAddress } from './addresses.ts';
import type { LedgerFigures, ListedDay } from './figures.ts';
import { changesOf, spansOf } from './happened.ts';

const DAY_MS = 86_400_000;

export function ledgerShown(
  { days }: LedgerFigures,
  answer: LedgerAnswer,
  formats: Formats,
  times: Times,
): LedgerShown {
  const last = days.at(-1)!.date;
  const energy = (wh: number) => asText(formats.energy(wh));
  const place = placeOn(days[0]!.date, answer.zone);
  const onAxis = ({ at }: { at: number }) => at >= 0 && at < days.length;
  // What the agent saw of silences stands in the list: here they would be many, and their gaps show.
  const spans = spansOf(answer.spans, formats)
    .filter(({ own }) => own)
    .map(({ fromAt, toAt, text }) => ({ from: place(fromAt), to: toAt === null ? days.length : place(toAt), text }));
  const shownSpans = spans.filter(({ from, to }) => to > 0 && from < days.length);
  return {
    days,
    stepMin: answer.carpet.stepMin,
    spans: shownSpans,
    marks: [
      ...changesOf(answer.facts, formats)
        .map(({ atMs, text }) => ({ at: place(atMs), text }))
        .filter(onAxis),
      ...shownSpans.map(({ from, text }) => ({ at: Math.max(0, from), text })),
    ],
    number: formats.number,
    clock: minute => times.time(noonless(days[0]!.date, minute, answer.zone)),
    monthName: date => times.month(date).split(' ')[0]!,
    dayName: date => times.dayMonth(date, last).replace(/(\p{L}{3})\p{L}*/u, '$1'),
    shadeWords: ({ atMin, meanWh }, brief) => {
      if (atMin === null) return words.shadeSomewhere(energy(meanWh));
      const time = times.time(noonless(days[0]!.date, Math.round(atMin / 30) * 30, answer.zone));
      return brief ? words.shadeBriefly(time) : words.shadeAt(time, energy(meanWh));
    },
    topWords: topW => words.darkest(asText(formats.power(topW))),
    read: (column, bin) => readColumn(column, bin, last, formats, times),
    open: column => words.openDay(times.dayMonth(column.days[0]!.date, last)),
    look: column => words.lookAt(times.month(column.days.at(-1)!.date)),
    address: dayAddress,
    summary: summaryOf(days, energy, times),
  };
}

/** A minute of the civil day as an instant of a day without a change of clocks, for its words only. */
function noonless(date: string, minute: number, zone: string): number {
  const noonAt = Date.parse(`${date}T12:00:00Z`);
  return Date.parse(`${date}T00:00:00Z`) + minute * 60_000 - zoneOffsetMs(noonAt, zone);
}

/** Places of instants on an axis that counts days from the first date's midnight. */
function placeOn(first: string, zone: string): (at: number) => number {
  const start = Date.parse(`${first}T00:00:00Z`);
  return at => (at + zoneOffsetMs(at, zone) - start) / DAY_MS;
}

function readColumn(column: Column, bin: Bin, last: string, formats: Formats, times: Times): string {
  const energy = (wh: number) => asText(formats.energy(wh));
  const [first] = column.days;
  if (bin === 'day') return readDay(first!, last, formats, times);
  const date = times.dayMonth(first!.date, last);
  const name = bin === 'week' ? words.weekOf(date) : times.month(first!.date);
  if (column.solarWh === null) return words.readNone(name);
  const told =
    bin === 'week' ? words.readWeek(date, energy(column.solarWh)) : words.readMonth(name, energy(column.solarWh));
  return column.clearSkyWh === null ? told : told + words.ofClear(energy(column.clearSkyWh));
}

export function readDay(
  { date, kind, day, clearSkyWh }: ListedDay,
  last: string,
  formats: Formats,
  times: Times,
): string {
  const name = times.dayMonth(date, last);
  if (day === null) return words.readMissing(name);
  const energy = asText(formats.energy(day.solarWh));
  const clear = clearSkyWh === null ? '' : words.ofClear(asText(formats.energy(clearSkyWh)));
  if (kind === 'today') return words.readToday(energy) + clear;
  const coverage = kind === 'partly' ? asText(formats.percent(Math.floor(day.coveragePct))) : null;
  return words.readDay(name, energy, coverage) + clear;
}

function summaryOf(days: readonly ListedDay[], energy: (wh: number) => string, times: Times): string {
  const whole = days.filter(d => d.kind === 'whole').map(d => d.day!.solarWh);
  if (whole.length === 0) return words.noWholeDay;
  const [first, last] = [days[0]!.date, days.at(-1)!.date];
  return words.ledgerSummary(
    times.dayMonth(first, last),
    times.dayMonth(last, last),
    energy(Math.min(...whole)),
    energy(Math.max(...whole)),
  );
}
