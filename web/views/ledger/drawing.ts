/** The Ledger's bars as the chart element takes them. */
import { ledgerPlan } from '../../charts/ledger-options.ts';
import { ledgerPicture } from '../../charts/ledger-picture.ts';
import type { Drawable } from '../../charts/time-chart.ts';
import { asText, type Formats, type Times } from '../../format.ts';
import * as words from '../../words/ledger.ts';
import type { LedgerDay, LedgerFigures } from './figures.ts';

/** The scale at the left takes this much of the width, px. */
const SCALE_PX = 60;

export function ledgerDrawable(
  { days }: LedgerFigures,
  formats: Formats,
  times: Times,
): Drawable & { summary: string } {
  let shown = days;
  return {
    plan(palette, widthPx, heightPx, library) {
      const picture = ledgerPicture(days, widthPx - SCALE_PX, formats, times);
      shown = [...picture.days];
      return ledgerPlan(picture, palette, widthPx, heightPx, library);
    },
    count: days.length,
    start: days.length - 1,
    read: index => readDay(shown[index] ?? days.at(-1)!, days.at(-1)!.date, formats, times),
    summary: summaryOf(days, formats, times),
  };
}

function readDay({ date, kind, day }: LedgerDay, today: string, formats: Formats, times: Times): string {
  if (day === null) return words.readMissing(times.dayMonth(date, today));
  const energy = asText(formats.energy(day.solarWh));
  if (kind === 'today') return words.readToday(energy);
  const coverage = kind === 'partly' ? asText(formats.percent(Math.floor(day.coveragePct))) : null;
  return words.readDay(times.dayMonth(date, today), energy, coverage);
}

function summaryOf(days: readonly LedgerDay[], formats: Formats, times: Times): string {
  const whole = days.filter(d => d.kind === 'whole').map(d => d.day!.solarWh);
  if (whole.length === 0) return words.noWholeDay;
  const [first, last] = [days[0]!.date, days.at(-1)!.date];
  const energy = (wh: number) => asText(formats.energy(wh));
  return words.ledgerSummary(
    times.dayMonth(first, last),
    times.dayMonth(last, last),
    energy(Math.min(...whole)),
    energy(Math.max(...whole)),
  );
}
