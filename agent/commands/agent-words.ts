/** What is told of the agent itself: in the page's notice and by doctor. */

const WHY_CHARACTERS = 120;

/** One sentence where what looks ahead does not stay. @param why null: it does */
export function blindTold(why: string | null): string[] {
  if (why === null) return [];
  const [first = ''] = why.split('\n');
  return [
    `What looks ahead keeps ending (${first.slice(0, WHY_CHARACTERS)}). While it is away, how long it lasts is not told, and neither ` +
      'a last half hour nor a load that stopped is called. Readings are saved. Start wattkeep again; if it goes on, see the log and tell us.',
  ];
}

/** @param why the last alarm was not taken; null: it was, or none was sent */
export const undeliveredTold = (why: string | null): string[] =>
  why === null
    ? []
    : [`Alarms do not reach your webhook (${why}): look at its receiver, and at alarm.webhook in the settings.`];

/** @param takesMs how long saving takes each time; null: the disk is quick enough */
export const slowTold = (takesMs: number | null): string[] =>
  takesMs === null
    ? []
    : [
        `Saving takes ${Math.round(takesMs / 1000)} s each time, and everything else waits for it: the disk is slow. Nothing is lost. ` +
          'See whether something else writes much to it; else move the data folder to a quicker disk or card (--data).',
      ];
