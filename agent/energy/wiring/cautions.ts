/**
 * Cautions beside a verdict: general, no advice on one device. Those that bear on what is shown come with it, each with
 * its ground: where the same is said in other words. No ground is named where the sentence only sends to the manual.
 */
import type { Arrangement } from './check.ts';

export type CautionCode = 'limit' | 'cold' | 'mixed' | 'fuses' | 'live' | 'order' | 'manual';

const CAUTIONS: { readonly [C in CautionCode]: string } = {
  limit:
    'The volts of the panels must stay below the limit printed on the station at every moment. Too many can destroy it ' +
    'at once, even with nothing switched on.',
  cold:
    'Cold panels make more volts: at −20 °C (−4 °F) some 12 to 16 % more than on the label. Use the figure of the ' +
    'datasheet and the coldest morning on record. Without a figure plan for a quarter more.',
  mixed: 'In series the volts add up, in parallel the amps do. Do not guess with mixed or shaded panels.',
  fuses:
    'One or two strings side by side can rarely harm each other. From three on each needs its own fuse, unless the ' +
    'series-fuse rating of the panels covers the current of all the others.',
  live:
    'Panels are live as soon as light falls on them, at dawn and under cloud too. Cover them, or switch charging off, ' +
    'before you unplug: a plug pulled under load can draw an arc. Keep hands dry and use no damaged plug. Treat more ' +
    'than 30 V as dangerous.',
  order:
    "Plug in the order the station's manual gives. Where it gives none: panels last when you connect, first when you " +
    'take apart. A charge controller with a battery of its own gets the battery first and loses it last.',
  manual:
    "This is a check of numbers, not a permit. The station's and the panels' manuals, your local code and licensed " +
    'practice decide.',
};

const GROUNDS: { readonly [C in CautionCode]: string | null } = {
  limit: "US National Electrical Code 690.7; makers' manuals",
  cold: 'US National Electrical Code 690.7: −0.27 to −0.35 % for each degree C; the quarter is the coldest row of its table',
  mixed: "makers' manuals",
  fuses: 'US National Electrical Code 690.9',
  live: "makers' manuals; US OSHA on solar work, osha.gov/green-jobs/solar/electrical; 30 V: common practice, no source",
  order: 'common practice, no source',
  manual: null,
};

export interface Caution {
  code: CautionCode;
  text: string;
  /** What it rests on; null where it only sends to the manual. */
  ground: string | null;
}

/** What belongs beside these arrangements, the most pressing first. */
export function cautionsFor(arrangements: readonly Pick<Arrangement, 'parallel' | 'series'>[]): Caution[] {
  const several = arrangements.some(({ series, parallel }) => series * parallel > 1);
  const strings = arrangements.some(({ parallel }) => parallel > 1);
  const codes: CautionCode[] = [
    'limit',
    'cold',
    ...(several ? (['mixed'] as const) : []),
    ...(strings ? (['fuses'] as const) : []),
    'live',
    'order',
    'manual',
  ];
  return codes.map(code => ({ code, text: CAUTIONS[code], ground: GROUNDS[code] }));
}
