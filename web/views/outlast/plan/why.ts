/** What Plan's answers rest on, what is assumed, and the cautions that belong to what is on the list. */
import { COMMON_LOADS, isMedical, isWired } from '#energy/estimates/plan/common-loads';
import type { PlanAnswer, PlanSettings } from '#messages';
import { asText, type Formats } from '../../../format.ts';
import * as words from '../../../words/plan.ts';
import type { Reckoned } from './reckoned.ts';
import { hoursText } from './sentence.ts';

export function whyLines(basis: PlanAnswer, reckoned: Reckoned, formats: Formats): string[] {
  const { sun } = reckoned;
  const [outCost, ownW, inWorth] = basis.losses.mean;
  const ticks = basis.losses.ticks;
  const lines = [
    ...chain(basis, reckoned, formats),
    words.whyLosses(asText(formats.power(ownW)), formats.number(outCost, 2), formats.number(inWorth, 2)),
    ticks > 0 ? words.LOSSES_LEARNED(formats.number(ticks, 0)) : words.LOSSES_ASSUMED,
    words.whyRange,
    words.whyMean,
  ];
  if (basis.continuousW !== null) lines.splice(-2, 0, words.whySquare(asText(formats.power(basis.continuousW))));
  if (sun === null) return lines;
  const known = sun.months.some(month => month.from !== 'assumed');
  return [
    ...lines,
    words.whySky,
    ...(known ? [words.weatherOwn(formats.number(basis.days.length, 0))] : []),
    words.whyKeeps,
  ];
}

/** From the label to the hours, each step with its number. */
function chain({ ratedWh, full }: PlanAnswer, { lasting, use, running }: Reckoned, formats: Formats): string[] {
  if (ratedWh === null || lasting === null || running.length === 0) return [];
  const energy = (wh: number) => asText(formats.energy(wh));
  const power = (w: number) => asText(formats.power(w));
  const share = asText(formats.percent(full.labelPct));
  const held = energy((full.labelPct * ratedWh) / 100);
  return [
    words.whyChain(
      share,
      energy(ratedWh),
      held,
      power(use.outletWh / 24),
      power(use.need.p50 / 24),
      hoursText(lasting.full.p50),
    ),
  ];
}

export function assumedLines(basis: PlanAnswer, { sun }: Reckoned, monthName: (month: number) => string): string[] {
  const lines: string[] = basis.simulated ? [words.SIMULATED] : [];
  if (basis.losses.ticks === 0) lines.push(words.LOSSES_ASSUMED);
  lines.push(words.ASSUMED_LIMITS);
  if (sun !== null) {
    const guessed = sun.months.filter(month => month.from === 'assumed');
    if (guessed.length > 0)
      lines.push(
        words.ASSUMED_WEATHER(
          guessed.length === 12 ? words.ALL_MONTHS : guessed.map(m => monthName(m.month)).join(', '),
        ),
      );
    if (sun.assumedPanels) lines.push(words.ASSUMED_PANELS);
    else if (basis.panels.some(p => p.tiltDeg === null || (p.azimuthDeg === null && p.tiltDeg > 0)))
      lines.push(words.ASSUMED_PLANE);
  }
  if (basis.price !== null) lines.push(words.ASSUMED_CYCLES);
  return lines;
}

export function cautionLines({ load }: PlanSettings): string[] {
  const cautioned = (kind: string) =>
    load.some(({ name }) =>
      COMMON_LOADS.some(common => common.caution === kind && common.name.toLowerCase() === name.toLowerCase()),
    );
  return [
    ...(load.some(({ name }) => isMedical(name)) || cautioned('medical') ? [words.MEDICAL] : []),
    ...(load.some(({ name }) => isWired(name)) || cautioned('wiring') ? [words.WIRED] : []),
    ...(cautioned('heat') ? [words.HEAT] : []),
    words.MANUAL,
  ];
}
