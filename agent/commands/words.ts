/** Every sentence of the command line, in one place. */

export const HELP = `wattkeep: what a power station does, how long it lasts, what the sun gave

usage: wattkeep [options]              read the stations and serve the page
       wattkeep VERB [options]

verbs:
  ledger                               the harvest of each day
  import FILE                          a recording into a station's past
  export [FILE]                        a station's readings as a recording, CSV or Parquet
  snapshot FILE                        a whole copy of the record, beside a running agent
  restore FILE                         a snapshot in the place of the record
  aim                                  sun, clear sky and best panel plane of one instant
  wiring                               which ways of wiring panels a solar port bears, and why
  outlast                              a recording replayed: what would have been said, and how right it was
  plan                                 what it would run, for how long, and whether the sun keeps up
  trial                                measures a station: usable energy, own draw, converter, charge, solar input
  adapter                              teaches it the protocol of your station
  share                                the home network on or off
  pair                                 lets a phone in, or a browser here change things
  token                                tokens for scripts, and who may come in
  service                              has it started with this computer
  doctor                               what is well and what is not, with fixes

options of the agent:
  --data DIR        where the record lives       (WATTKEEP_DATA)
  --settings FILE   the settings file            (WATTKEEP_SETTINGS)
  --lan [INTERFACE] shared on that network too   (WATTKEEP_LAN)
  --host ADDRESS    127.0.0.1, ::1; 0.0.0.0: all (WATTKEEP_HOST)
  --port N          7420; 0 for any free one     (WATTKEEP_PORT)
  --no-demo         start bare, without the simulated station
  --version, --help

example: wattkeep --port 0 --no-demo
`;

export const STOPPING = 'Saving and stopping. Press Ctrl-C again to stop at once.';

/** What a failure prints: what happened, what to do, and the code to look up. */
export const complaint = (message: string, fix: string, code: string): string =>
  `wattkeep: ${message}\n          ${fix} [${code}]`;

export const UNEXPECTED_FIX = 'This is a fault of wattkeep. The log holds the detail; please report it.';

export const demoNotice = (url: string): string =>
  `Showing a simulated station. Enter yours at ${url}setup: the simulated one ends then.`;

export const simulatedNote = 'Simulated station: this is no record of yours.';

export const LEDGER_HELP = `usage: wattkeep ledger [--station ID] [--from DATE] [--to DATE] [--by month|season|year] [--csv | --json] [--data DIR]

A row is a day: what came from the sun, what a cloudless sky would have given (clear), and where the rest went: clouds,
shade at named spots, a full battery or a port at its limit (held), panels that were not out or time not recorded
(idle), and what nothing explains (other). The ratio is the panels' yield against the light that fell on them while
nothing held them back. All this needs the panels, how they stand, and the place. Seasons begin in April and October.
--csv and --json tell all figures, the yields among them.

example: wattkeep ledger --from 2026-06-01 --csv > june.csv
`;

export const EXPORT_HELP = `usage: wattkeep export [FILE] [--station ID] [--from INSTANT] [--to INSTANT] [--zone ZONE] [--data DIR]

FILE ends in .csv, .csv.gz or .parquet; without it CSV goes to standard output. A row is a reading; where the readings
were let go it is the mean of a minute, and meanOverMs says so. Where the computer's clock was put right, ranMs is the
time that really went by since the row above. Under lacks stands what the station tells otherwise and did not then. What
was read since the last save is not in it.

example: wattkeep export --from 2026-06-01 > shed.csv
         wattkeep export shed.parquet
`;

export const exported = (file: string, bytes: number): string =>
  `${file} holds the readings: ${bytes < 1e6 ? `${Math.ceil(bytes / 1e3)} kB` : `${(bytes / 1e6).toFixed(1)} MB`}.`;
