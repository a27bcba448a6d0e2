/**
 * Seals of closed days: a digest over a day's blocks, minutes and totals. Whatever is changed by a statement takes the
 * seals of its days away in the same transaction, whoever changes it; what rots on the disk does not.
 */
export const version = 5;

/** A day is 25 h at most; two days back finds every seal that a row may lie in. */
const OF_ROW = (row: string, from: string, to: string) =>
  `DELETE FROM seal WHERE station = ${row}.station AND startMs > ${row}.${from} - 172800000
     AND startMs <= ${to} AND endMs > ${row}.${from};`;

const unsealing = (table: string, from: string, to: (row: string) => string, only = (_row: string) => ''): string =>
  [
    ['INSERT', 'NEW'],
    ['UPDATE', 'NEW'],
    ['DELETE', 'OLD'],
  ]
    .map(
      ([event, row]) => `CREATE TRIGGER ${table}Unseals${event} AFTER ${event} ON ${table}${only(row!)} BEGIN
  ${OF_ROW(row!, from, to(row!))}
END;`,
    )
    .join('\n');

export const sql = `
CREATE TABLE seal (
  station INTEGER NOT NULL REFERENCES station,
  date TEXT NOT NULL,
  zone TEXT NOT NULL,
  startMs INTEGER NOT NULL,
  endMs INTEGER NOT NULL,
  digest BLOB NOT NULL,
  sealedAt INTEGER NOT NULL,
  checkedAt INTEGER NOT NULL,
  brokenAt INTEGER,
  PRIMARY KEY (station, date, zone)
) STRICT, WITHOUT ROWID;
CREATE INDEX sealByTime ON seal (station, startMs);
CREATE INDEX sealByCheck ON seal (checkedAt);

${unsealing('blk', 'fromAt', row => `${row}.toAt`)}
${unsealing('tail', 'fromAt', row => `${row}.toAt`)}
${unsealing(
  'rb',
  'startAt',
  row => `${row}.startAt + 86399999`,
  row => ` WHEN ${row}.stepMs = 60000`,
)}
${unsealing('day', 'startMs', row => `${row}.startMs`)}
`;
