/** The chain behind the sentence: what was measured, over which windows, what was assumed. */
import { asText, spanText } from '../../format.ts';
import * as words from '../../words.ts';
import type { Situation } from './situation.ts';

const MINUTE_MS = 60_000;

export function whyLines(s: Situation): string[] {
  const { formats, times, live, nowAt } = s;
  const projection = live?.projection ?? null;
  const reading = live?.reading?.wire;
  if (live === null || projection === null || reading === undefined || nowAt === null) return [];
  const percent = (value: number | null) => asText(formats.percent(value));
  const power = (value: number | null) => asText(formats.power(value));
  const { quantities } = reading;
  const { assumptions } = projection;
  const lines = [
    words.whyMeasured(
      percent(quantities.stateOfChargePct ?? null),
      power(quantities.inputPowerW ?? null),
      power(quantities.outputPowerW ?? null),
      times.moment(Date.parse(reading.at), nowAt),
    ),
    ...projection.windows.map(w =>
      words.whyWindow(
        spanText(w.minutes * MINUTE_MS),
        power(w.inputW),
        power(w.outputW),
        percent(w.coverage <= 1 ? w.coverage * 100 : w.coverage),
      ),
    ),
    words.whyRange,
  ];
  if (assumptions.ratedWh !== null) lines.push(words.whyRated(asText(formats.energy(assumptions.ratedWh))));
  lines.push(
    words.whyLosses(
      power(assumptions.idleW),
      asText({ text: formats.number(assumptions.conversion, 2), unit: 'Wh' }),
      percent(assumptions.chargeEfficiency * 100),
    ),
  );
  if (assumptions.sunUntilAt !== null)
    lines.push(words.whySun(times.moment(Date.parse(assumptions.sunUntilAt), nowAt)));
  lines.push(words.whyFloor(percent(projection.floorPct), percent(live.station.lowCutoffPct)));
  return lines;
}
