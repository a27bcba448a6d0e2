/** Words of `wattkeep adapter capture`. */
import type { CapturedChunk } from '#kit';

export const ADAPTER_CAPTURE_HELP = `usage: wattkeep adapter capture --transport KIND … --out FILE [--seconds N] [options]

Records every byte that a station sends and is sent, with its time, until --seconds are over or Ctrl-C. Stop wattkeep
first where it reads the same port. The file is text, a chunk a line; adapter play and adapter check read it.

  --transport serial --path PORT [--baud N]
  --transport tcp --host HOST --port N
  --transport process -- PROGRAM [ARGUMENT …]
  --transport ble --name TEXT, --service UUID or --address ADDRESS: with its tree of services and characteristics
  --station ID      the connection of a station in the settings
  --out FILE        must not be there yet
  --seconds N       ends by itself, so long after the connection was there
  --adapter NAME    an adapter that asks: your file, or the id of one that comes with wattkeep
  --send HEX        asks without an adapter; once for each question, sent in turn. Only what the station's documentation
                    calls a query: anything else may switch something
  --every N         seconds between them; 1 where not given
  --quiet, --json   show nothing while recording; the sums for programs

example: wattkeep adapter capture --transport serial --path /dev/ttyUSB0 --baud 9600 --out morning.capture --seconds 30
`;

export const capturing = (link: string, seconds: number | null): string =>
  `Listening to ${link}${seconds === null ? '; Ctrl-C ends it' : ` for ${seconds} s`}.\n`;

const SHOWN_BYTES = 24;

export const chunkLine = ({ atMs, way, place, bytes }: CapturedChunk): string => {
  const hex = Buffer.from(bytes.subarray(0, SHOWN_BYTES))
    .toString('hex')
    .replace(/..(?=.)/g, '$& ');
  const where = place === '' ? '' : ` ${place}`;
  return `${String(Math.round(atMs)).padStart(8)} ${way === 'in' ? '←' : '→'}${where} ${hex}${bytes.length > SHOWN_BYTES ? ` … ${bytes.length} bytes` : ''}\n`;
};

export const captured = (
  out: string,
  { chunks, bytesIn, bytesOut }: { chunks: number; bytesIn: number; bytesOut: number },
  ended: string | null,
): string =>
  `${out}: ${chunks} chunks, ${bytesIn} bytes heard, ${bytesOut} sent.${ended === null ? '' : ` The link ended: ${ended}.`}\n`;
