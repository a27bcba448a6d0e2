/** Trials: what was chosen and told of each, and the judgement as it was told when it had ended. */
export const version = 10;

export const sql = `
CREATE TABLE trial (
  station INTEGER NOT NULL REFERENCES station,
  trial TEXT NOT NULL,
  kind TEXT NOT NULL,
  startedAt INTEGER NOT NULL,
  endedAt INTEGER,
  optionsJson TEXT NOT NULL,
  askedJson TEXT NOT NULL,
  conditionsJson TEXT NOT NULL,
  stepsJson TEXT NOT NULL,
  typedJson TEXT NOT NULL,
  simulated INTEGER NOT NULL,
  version TEXT NOT NULL,
  judgementJson TEXT,
  judgedBy TEXT,
  removedAt INTEGER,
  PRIMARY KEY (station, trial)
) STRICT, WITHOUT ROWID;
`;
