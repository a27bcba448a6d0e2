/** The chain behind the sentence: what was measured, over which windows, what was assumed. */
import type { WireProjection } from '#messages';
import { asText, type Formats, spanText } from '../../format.ts';
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
  if (projection.learned !== null)
    lines.push(...learnedLines(projection.learned, reading.states.acOutletsOn === false, formats));
  if (projection.score.of > 0)
    lines.push(words.whyScore(formats.number(projection.score.held, 0), formats.number(projection.score.of, 0)));
  if (assumptions.sunUntilAt !== null)
    lines.push(words.whySun(times.moment(Date.parse(assumptions.sunUntilAt), nowAt)));
  if (assumptions.sky === 'usualDay') lines.push(words.WHY_USUAL_DAY);
  lines.push(words.whyFloor(percent(projection.floorPct), percent(live.station.lowCutoffPct)));
  return lines;
}

/** What the gauge is worth: learned, or by the label until a few percents have gone. */
function learnedLines(
  learned: NonNullable<WireProjection['learned']>,
  outletsOff: boolean,
  formats: Formats,
): string[] {
  const wattHours = (value: number) => asText({ text: formats.number(value, 1), unit: 'Wh' });
  const watts = (value: number) => asText({ text: formats.number(value, 0), unit: 'W' });
  if (learned.ticks < 3) {
    return [
      words.whyLosses(
        watts(learned.ownW),
        asText({ text: formats.number(learned.outCost, 2), unit: 'Wh' }),
        asText(formats.percent(learned.inWorth * 100)),
      ),
    ];
  }
  const told = words.whyLearned(
    wattHours(learned.acWhPerPct),
    // Never told finer than it is written: "±0" would claim to be exact.
    wattHours(Math.max(0.1, learned.acWhPerPctSd)),
    watts(learned.ownW),
    watts(Math.max(1, learned.ownWSd)),
    formats.number(learned.ticks, 0),
  );
  return [`${told}${outletsOff ? words.WITH_OUTLETS_OFF : ''}.`];
}
