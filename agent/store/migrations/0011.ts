/**
 * Seals cover what a station's own counters counted as well: a day's rows, and the blocks over gaps that begin in it. What
 * a statement changes of them takes the seal of that day away. Seals that are there say themselves what they cover.
 */
export const version = 11;

const unsealing = (table: string, at: string): string =>
  [
    ['INSERT', 'NEW'],
    ['UPDATE', 'NEW'],
    ['DELETE', 'OLD'],
  ]
    .map(
      ([event, row]) => `CREATE TRIGGER ${table}Unseals${event} AFTER ${event} ON ${table} BEGIN
  DELETE FROM seal WHERE station = ${row}.station AND startMs > ${row}.${at} - 172800000
    AND startMs <= ${row}.${at} AND endMs > ${row}.${at};
END;`,
    )
    .join('\n');

export const sql = `
${unsealing('counted', 'startMs')}
${unsealing('bridge', 'fromAt')}
`;
