/**
 * What a station's own counters counted, beside what was integrated: a row a day and counter, with where the counter
 * stood last, and the blocks that bridge gaps. mJ, mWh; `milliJ` null: not known, for the reason of `cause`.
 */
export const version = 8;

export const sql = `
CREATE TABLE counted (
  station INTEGER NOT NULL REFERENCES station,
  date TEXT NOT NULL,
  zone TEXT NOT NULL,
  quantity TEXT NOT NULL,
  startMs INTEGER NOT NULL,
  endMs INTEGER NOT NULL,
  countedMilliJ INTEGER NOT NULL,
  comparedMilliJ INTEGER NOT NULL,
  integratedMilliJ INTEGER NOT NULL,
  flowMs INTEGER NOT NULL,
  stretches INTEGER NOT NULL,
  largestMilliJ INTEGER NOT NULL,
  spreadWh2 REAL NOT NULL,
  lastMilliWh INTEGER NOT NULL,
  lastAt INTEGER NOT NULL,
  unchangedMs INTEGER NOT NULL,
  stepMilliWh INTEGER NOT NULL,
  PRIMARY KEY (station, date, zone, quantity)
) STRICT, WITHOUT ROWID;

CREATE TABLE bridge (
  station INTEGER NOT NULL REFERENCES station,
  quantity TEXT NOT NULL,
  fromAt INTEGER NOT NULL,
  toAt INTEGER NOT NULL,
  milliJ INTEGER,
  cause TEXT NOT NULL,
  gapMs INTEGER NOT NULL,
  fromMilliWh INTEGER NOT NULL,
  toMilliWh INTEGER NOT NULL,
  stepMilliWh INTEGER NOT NULL,
  PRIMARY KEY (station, quantity, fromAt)
) STRICT, WITHOUT ROWID;
`;
