/**
 * Holds the numbers of one way against the port and says every reason, good and bad. A limit is exceeded above it, not
 * at it; near is within 3 % of it. What is not known is a reason of its own.
 */

import { type LeadLoss, leadLoss } from '../laws/lead.ts';
import { delivered } from '../laws/port-limits.ts';
import { type FuseRules, fuseRules } from '../laws/string-fuse.ts';
import type { Figures } from './figures.ts';
import { assumptionsOf, unknownsOf } from './known.ts';
import { type Lead, type Panel, type Port, UNKNOWN_HOTTEST_C, type Weather } from './panel.ts';
import type { Reason } from './verdicts.ts';
import type { Way } from './ways.ts';

/** This near to a limit is barely, as a share of it. */
const NEAR = 0.03;
/** Strings in parallel may differ by so much of the higher voltage, %: own judgement. */
export const UNEQUAL_PCT = 5;
/** Less than this share lost by unlike panels is not worth a word. */
const MISMATCH_SHARE = 0.03;

/** Binary fractions must not decide: a value is above a limit only by more than a billionth of it. */
const above = (value: number, limit: number): boolean => value - limit > 1e-9 * Math.abs(limit);
/** Not above a limit, but within 3 % below it. */
const near = (value: number, limit: number): boolean => !above(limit * (1 - NEAR), value);

export interface Judged {
  reasons: Reason[];
  /** Of the string that needs a fuse most; null where there is one string, or a rating is not known. */
  fuse: FuseRules | null;
  lead: LeadLoss | null;
  /** What the panels offer at the port, what it takes of that, and the rest, W; null where not known. */
  deliverableW: number | null;
  clippedW: number | null;
}

/** Everything to be said of a way at a port. @param panels the kinds that the strings of `way` count */
export function judge(figures: Figures, way: Way, panels: readonly Panel[], port: Port, weather: Weather): Judged {
  const used = panels.filter((_, kind) => way.some(string => string[kind]! > 0));
  const fuse = worstFuse(figures, way, panels);
  const lead = lossIn(port.lead, figures);
  const power = powerAt(port, figures, lead);
  const reasons = [
    ...voltsTooHigh(figures, port, weather),
    ...amps(figures, port, power?.clippedW ?? 0),
    ...plug(figures, port.lead),
    ...apart(figures),
    ...unknownsOf(used, way.length, port, weather),
    ...fuses(fuse),
    ...voltsTooLow(figures, port, weather, lead),
    ...watts(power, port),
    ...mismatch(figures, way),
    ...(lead === null ? [] : [{ code: 'leadLoss' as const, ...lead, plugA: port.lead?.plugA ?? null }]),
    ...assumptionsOf(used, weather),
  ];
  const told = power !== null && port.maxW !== null && port.maxA !== null;
  return { reasons, fuse, lead, deliverableW: told ? power.takenW : null, clippedW: told ? power.clippedW : null };
}

function voltsTooHigh({ coldOpenCircuitV, coldOpenCircuitMaxV }: Figures, { maxV }: Port, weather: Weather): Reason[] {
  if (coldOpenCircuitV === null || coldOpenCircuitMaxV === null || weather.coldestC === null) return [];
  const { coldestC } = weather;
  const coldMaxV = coldOpenCircuitMaxV;
  const said: Reason = { code: 'coldVolts', coldV: coldOpenCircuitV, coldMaxV, coldestC };
  if (maxV === null) return [said];
  if (above(coldMaxV, maxV)) return [{ code: 'overVoltage', coldMaxV, maxV, coldestC }, said];
  return near(coldMaxV, maxV) ? [{ code: 'nearVoltage', coldMaxV, maxV }, said] : [said];
}

function amps(figures: Figures, { maxA, overCurrentAllowed }: Port, lostW: number): Reason[] {
  const { designCurrentA: designA, shortCircuitA } = figures;
  if (designA === null || shortCircuitA === null) return [];
  const said: Reason = { code: 'designCurrent', designA, shortCircuitA };
  if (maxA === null) return [said];
  if (above(designA, maxA)) {
    return [
      overCurrentAllowed ? { code: 'overAmpsAllowed', designA, maxA, lostW } : { code: 'overCurrent', designA, maxA },
      said,
    ];
  }
  return near(designA, maxA) ? [{ code: 'nearCurrent', designA, maxA }, said] : [said];
}

function plug({ designCurrentA: designA }: Figures, lead: Lead | null): Reason[] {
  if (lead === null) return [];
  const { plugA } = lead;
  if (plugA === null) return [{ code: 'leadUnrated' }];
  if (designA === null) return [];
  if (above(designA, plugA)) return [{ code: 'overPlug', designA, plugA }];
  return near(designA, plugA) ? [{ code: 'nearPlug', designA, plugA }] : [];
}

/** Strings of unlike voltage in parallel: the higher presses on the lower. */
function apart({ strings }: Figures): Reason[] {
  const reasons: Reason[] = [];
  for (const of of ['openV', 'hotV'] as const) {
    const volts = strings.map(string => string[of]).filter(value => value !== null);
    const [highV, lowV] = [Math.max(...volts), Math.min(...volts)];
    if (volts.length > 1 && above(highV - lowV, (UNEQUAL_PCT / 100) * highV)) {
      reasons.push({ code: 'unequalStrings', highV, lowV, limitPct: UNEQUAL_PCT });
    }
  }
  return reasons.slice(0, 1);
}

function worstFuse({ strings, shortCircuitA }: Figures, way: Way, panels: readonly Panel[]): FuseRules | null {
  if (way.length < 2 || shortCircuitA === null) return null;
  const rules = way.flatMap((string, i) => {
    const ratings = panels.filter((_, kind) => string[kind]! > 0).map(panel => panel.maxSeriesFuseA);
    const known = ratings.filter(rating => rating !== null);
    const ownA = strings[i]!.shortCircuitA!;
    return known.length < ratings.length ? [] : [fuseRules(ownA, shortCircuitA - ownA, Math.min(...known))];
  });
  return rules.toSorted((a, b) => b.backFeedA / b.ratingA - a.backFeedA / a.ratingA)[0] ?? null;
}

function fuses(fuse: FuseRules | null): Reason[] {
  if (fuse === null || !fuse.nec) return [];
  const { backFeedA, ratingA, iec62548, iec60364, fromA, toA, leastA, sizeA } = fuse;
  const needed: Reason = { code: 'stringFuses', backFeedA, ratingA, iec62548, iec60364, fromA, toA, sizeA };
  return sizeA === null ? [{ code: 'noFuseSize', leastA, mostA: toA }, needed] : [needed];
}

function voltsTooLow(figures: Figures, { minV }: Port, weather: Weather, lead: LeadLoss | null): Reason[] {
  if (figures.hotOperatingV === null || minV === null) return [];
  const hotV = figures.hotOperatingV - (lead?.voltsLost ?? 0);
  const hottestC = weather.hottestC ?? UNKNOWN_HOTTEST_C;
  if (above(minV, hotV)) return [{ code: 'underVoltage', hotV, minV, hottestC }];
  return !above(hotV, minV * (1 + NEAR)) ? [{ code: 'nearStart', hotV, minV }] : [];
}

function lossIn(lead: Lead | null, { operatingA }: Figures): LeadLoss | null {
  if (lead === null || lead.lengthM === null || lead.conductorMm2 === null || operatingA === null) return null;
  return leadLoss(lead.lengthM, lead.conductorMm2, operatingA);
}

interface Power {
  offeredW: number;
  takenW: number;
  clippedW: number;
}

/** At 1000 W/m² and 25 °C; the voltage limits are judged apart. */
function powerAt(port: Port, figures: Figures, lead: LeadLoss | null): Power | null {
  const { peakW, mismatchLostW, operatingV } = figures;
  if (peakW === null || mismatchLostW === null || operatingV === null) return null;
  const offeredW = Math.max(0, peakW - mismatchLostW - (lead?.wattsLost ?? 0));
  const atPortV = operatingV - (lead?.voltsLost ?? 0);
  const takenW = delivered(offeredW, atPortV, atPortV, { ...port, minV: null, maxV: null }).powerW;
  return { offeredW, takenW, clippedW: offeredW - takenW };
}

function watts(power: Power | null, { maxW }: Port): Reason[] {
  if (power === null || maxW === null) return [];
  const { offeredW } = power;
  if (above(offeredW, maxW)) return [{ code: 'overWatts', offeredW, maxW, lostW: offeredW - maxW }];
  return near(offeredW, maxW) ? [{ code: 'nearWatts', offeredW, maxW }] : [];
}

function mismatch({ mismatchLostW: lostW, peakW }: Figures, way: Way): Reason[] {
  if (lostW === null || peakW === null || !above(lostW, MISMATCH_SHARE * peakW)) return [];
  const inSeries = way.some(string => string.filter(n => n > 0).length > 1);
  return [{ code: 'mismatch', inSeries, lostW, offeredW: peakW - lostW }];
}
