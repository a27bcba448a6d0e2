/** What the owner notes of a day or a moment; and spans that can be put right: what was taken back is told no more. */
export const version = 6;

export const sql = `
CREATE TABLE note (
  station INTEGER NOT NULL REFERENCES station,
  note INTEGER NOT NULL,
  date TEXT NOT NULL,
  at INTEGER,
  text TEXT NOT NULL,
  writtenAt INTEGER NOT NULL,
  takenBackAt INTEGER,
  PRIMARY KEY (station, note)
) STRICT, WITHOUT ROWID;

ALTER TABLE span ADD COLUMN takenBackAt INTEGER;
`;
