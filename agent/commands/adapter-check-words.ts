/** Words of `wattkeep adapter check`. */

export const ADAPTER_CHECK_HELP = `wattkeep adapter check FILE [--capture FILE …] [--settings FILE] [--seed N] [--json]

Tries everything the agent relies on in an adapter: its manifest, framing under random cuts and noise, the same answer for
the same frame, ranges and units, sessions, pace, and its questions to a station that answers late, wrong or never. FILE is
an adapter of yours, its name in your folder, or the id of one that comes with wattkeep. It runs contained, in a process
of its own.

  --capture FILE   bytes recorded with wattkeep adapter capture; may be given more than once
  --settings FILE  whose folder of adapters a name is looked up in
  --seed N         draws other cuts and other noise; default 1
  --json           the report for programs

The file may export samples: bytes as the station sent them and what its screen said then. A check that needs bytes and
has none is open, and says so. Exit status 1 where a check failed.
`;

export const cannotCheck = (file: string, why: string): string => `${file} could not be checked: ${why}.`;
