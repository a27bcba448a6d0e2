/** What was learned of each station: one JSON value, whose shape its writer knows. */
export const version = 2;

export const sql = `
CREATE TABLE learned (
  station INTEGER PRIMARY KEY REFERENCES station,
  valueJson TEXT NOT NULL
) STRICT;
`;
