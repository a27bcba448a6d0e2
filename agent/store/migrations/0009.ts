/**
 * Each commit adds to `tail` alone what it brings: its rows say themselves where their session ends, and are numbered
 * station by station, so that they need no index. `station` and `session` are told of it when the rows leave the tail.
 */
export const version = 9;

export const sql = `
ALTER TABLE tail ADD COLUMN session TEXT;
ALTER TABLE tail ADD COLUMN lastSeq INTEGER;
DROP INDEX tailByStation;
UPDATE tail SET id = station * 4294967296 + id;
`;
