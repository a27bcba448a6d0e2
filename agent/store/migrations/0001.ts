/**
 * The first schema. `…At` are UTC epoch ms, energies mJ; blobs are blocks of codec/. What is sealed lies in `blk`, and
 * `rb` is always a function of `blk`; the hour still open lies in `tail`, one small block per commit and station.
 */
export const version = 1;

export const sql = `
CREATE TABLE meta (key TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT, WITHOUT ROWID;

CREATE TABLE layout (id INTEGER PRIMARY KEY, text TEXT NOT NULL UNIQUE) STRICT;

CREATE TABLE station (
  id INTEGER PRIMARY KEY,
  name TEXT NOT NULL UNIQUE,
  layout INTEGER NOT NULL REFERENCES layout,
  firstAt INTEGER,
  lastAt INTEGER
) STRICT;

CREATE TABLE session (
  station INTEGER NOT NULL REFERENCES station,
  name TEXT NOT NULL,
  lastSeq INTEGER NOT NULL,
  firstAt INTEGER NOT NULL,
  lastAt INTEGER NOT NULL,
  PRIMARY KEY (station, name)
) STRICT, WITHOUT ROWID;

CREATE TABLE tail (
  id INTEGER PRIMARY KEY,
  station INTEGER NOT NULL REFERENCES station,
  layout INTEGER NOT NULL REFERENCES layout,
  fromAt INTEGER NOT NULL,
  toAt INTEGER NOT NULL,
  count INTEGER NOT NULL,
  body BLOB NOT NULL
) STRICT;
CREATE INDEX tailByStation ON tail (station, id);

CREATE TABLE blk (
  id INTEGER PRIMARY KEY,
  station INTEGER NOT NULL REFERENCES station,
  layout INTEGER NOT NULL REFERENCES layout,
  fromAt INTEGER NOT NULL,
  toAt INTEGER NOT NULL,
  count INTEGER NOT NULL,
  body BLOB NOT NULL
) STRICT;
CREATE INDEX blkByTime ON blk (station, fromAt, id);

CREATE TABLE rb (
  id INTEGER PRIMARY KEY,
  station INTEGER NOT NULL REFERENCES station,
  stepMs INTEGER NOT NULL,
  startAt INTEGER NOT NULL,
  layout INTEGER NOT NULL REFERENCES layout,
  body BLOB NOT NULL,
  UNIQUE (station, stepMs, startAt)
) STRICT;

CREATE TABLE day (
  station INTEGER NOT NULL REFERENCES station,
  date TEXT NOT NULL,
  zone TEXT NOT NULL,
  startMs INTEGER NOT NULL,
  endMs INTEGER NOT NULL,
  solarMilliJ INTEGER NOT NULL,
  inputMilliJ INTEGER NOT NULL,
  outputMilliJ INTEGER NOT NULL,
  coveredMs INTEGER NOT NULL,
  gapMs INTEGER NOT NULL,
  solarPeakW REAL NOT NULL,
  stateOfChargeMinPct REAL,
  stateOfChargeMaxPct REAL,
  PRIMARY KEY (station, date, zone)
) STRICT, WITHOUT ROWID;

CREATE TABLE cursor (
  station INTEGER PRIMARY KEY REFERENCES station,
  session TEXT NOT NULL,
  seq INTEGER NOT NULL,
  at INTEGER NOT NULL,
  inputSource TEXT NOT NULL
) STRICT;

CREATE TABLE outage (
  station INTEGER NOT NULL REFERENCES station,
  startedAt INTEGER NOT NULL,
  endedAt INTEGER,
  startPct REAL,
  endPct REAL,
  outputMilliJ INTEGER NOT NULL,
  PRIMARY KEY (station, startedAt)
) STRICT, WITHOUT ROWID;

CREATE TABLE span (
  station INTEGER NOT NULL REFERENCES station,
  reason TEXT NOT NULL,
  fromMs INTEGER NOT NULL,
  toMs INTEGER,
  note TEXT NOT NULL,
  PRIMARY KEY (station, reason, fromMs)
) STRICT, WITHOUT ROWID;

CREATE TABLE fact (
  station INTEGER NOT NULL REFERENCES station,
  key TEXT NOT NULL,
  validFromMs INTEGER NOT NULL,
  valueJson TEXT,
  PRIMARY KEY (station, key, validFromMs)
) STRICT, WITHOUT ROWID;
`;
