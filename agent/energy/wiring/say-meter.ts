/** What to expect of a meter before plugging in, and what a reading points to, each with one check, in plain English. */
import type { MistakeCode, VoltRange } from './meter.ts';
import type { Units } from './units.ts';

/** What the meter should show. */
export const sayExpected = ({ lowV, highV }: VoltRange, units: Units): string =>
  `Before you plug in, a meter at the end of the lead should show ${units.volts(lowV)} to ${units.volts(highV)} now, ` +
  '+ on the pin that the station marks +.';

const MISTAKES: { readonly [C in MistakeCode]: (shown: string) => string } = {
  asExpected: shown =>
    `${shown} is as expected. Volts cannot show a string that is missing in parallel: check that every plug sits tight.`,
  noVolts: shown =>
    `${shown}: no light, an open lead, or two panels against each other. Uncover the panels, then measure at each one ` +
    'alone.',
  reversed: shown =>
    `${shown}: plus and minus are swapped. Check that the red probe is on the + pin; if it is, do not plug in: a lead ` +
    'or an adapter is reversed.',
  panelMissing: shown => `${shown}: a panel seems to be missing in the string. Measure at each panel alone.`,
  panelReversed: shown =>
    `${shown}: a panel may be the wrong way round in the string. Follow the leads: + of one goes to − of the next.`,
  inParallelNotSeries: shown =>
    `${shown}: the panels may be wired in parallel, not in series. Look for branch connectors where there should be none.`,
  inSeriesNotParallel: shown =>
    `${shown}: strings may be wired in series, not in parallel. Do not plug in; look for a missing branch connector.`,
  low: shown =>
    `${shown} is low for this light. Shade or dirt on a panel, or a loose plug: look at each, then measure again.`,
  high: shown => `${shown} is more than these panels should give. Do not plug in; count the panels in each string.`,
};

/** One thing a reading may mean and what to check. @param readingV as the meter shows it */
export const sayMistake = (code: MistakeCode, readingV: number, units: Units): string =>
  MISTAKES[code](units.volts(readingV));
