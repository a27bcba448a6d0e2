/** Marks of walks and the named spots: where panels were tried, and what came in there. */
export const version = 4;

export const sql = `
CREATE TABLE spot (
  station INTEGER NOT NULL REFERENCES station,
  spot TEXT NOT NULL,
  name TEXT NOT NULL,
  note TEXT NOT NULL,
  removedAt INTEGER,
  PRIMARY KEY (station, spot)
) STRICT, WITHOUT ROWID;

CREATE TABLE mark (
  station INTEGER NOT NULL REFERENCES station,
  mark INTEGER NOT NULL,
  walk INTEGER NOT NULL,
  letter TEXT NOT NULL,
  at INTEGER NOT NULL,
  movedAt INTEGER NOT NULL,
  spot TEXT,
  againOf INTEGER,
  note TEXT NOT NULL,
  meanW REAL NOT NULL,
  errorW REAL NOT NULL,
  seenJson TEXT NOT NULL,
  takenBackAt INTEGER,
  PRIMARY KEY (station, mark)
) STRICT, WITHOUT ROWID;
`;
