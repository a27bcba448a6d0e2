/** What the calendar says of a station that was put away. Dates and percents come as they are to be read. */

export const summary = (name: string): string => `Top up ${name}`;

/** @param left the range expected on that day; null where its percent was not known when it was put away */
export function description(told: {
  name: string;
  since: string;
  fromPct: number | null;
  left: { leastPct: number; mostPct: number } | null;
  loss: { least: number; most: number };
  lookAfterDays: number;
}): string {
  const { name, since, fromPct, left, loss, lookAfterDays } = told;
  const level =
    fromPct === null || left === null
      ? `${name} was put away on ${since}; how full it was is not known.`
      : `${name} was put away on ${since} at ${Math.round(fromPct)} %. Between ${Math.floor(left.leastPct)} and ${Math.ceil(left.mostPct)} % are expected on this day.`;
  return [
    level,
    'Charge it to about half, then put it away again.',
    `Assumed: switched off at room temperature it loses ${loss.least} to ${loss.most} percent points a month; warmth takes more, and outlets left on take far more. At the latest it is looked after every ${lookAfterDays} days.`,
  ].join('\n');
}
