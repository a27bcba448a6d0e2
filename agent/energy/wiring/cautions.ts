/**
 * Cautions beside a verdict: general, no advice on one device. Those that bear on what is shown come with it.
 *
 * Series and parallel, fuses, live panels and the order of plugging are what makers' manuals, NEC 690.9 and the US OSHA
 * pages on solar power say in other words; 30 V as hazardous and the order of plugging are common practice, no source.
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

export interface Caution {
  code: CautionCode;
  text: string;
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
  return codes.map(code => ({ code, text: CAUTIONS[code] }));
}
