/** Which raw readings are kept beyond their time and why, and up to when the others were let go, with how many. */
export const version = 7;

export const sql = `
CREATE TABLE evidence (
  station INTEGER NOT NULL REFERENCES station,
  why TEXT NOT NULL,
  fromMs INTEGER NOT NULL,
  toMs INTEGER NOT NULL,
  droppedAt INTEGER,
  PRIMARY KEY (station, why, fromMs)
) STRICT, WITHOUT ROWID;

CREATE TABLE letGo (
  station INTEGER PRIMARY KEY REFERENCES station,
  beforeMs INTEGER NOT NULL,
  readings INTEGER NOT NULL
) STRICT;
`;
