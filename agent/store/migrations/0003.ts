/** What is told of an outage afterwards: what came in, how low it went, what was promised first, when the floor came. */
export const version = 3;

export const sql = `
ALTER TABLE outage ADD COLUMN inputMilliJ INTEGER NOT NULL DEFAULT 0;
ALTER TABLE outage ADD COLUMN lowestPct REAL;
ALTER TABLE outage ADD COLUMN promisedAt INTEGER;
ALTER TABLE outage ADD COLUMN promisedP10At INTEGER;
ALTER TABLE outage ADD COLUMN promisedP50At INTEGER;
ALTER TABLE outage ADD COLUMN floorAt INTEGER;
`;
