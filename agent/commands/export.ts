/** `wattkeep export`: a station's readings as a recording on standard output. */
import { Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import { WattkeepError } from '#kit';
import { recordingColumns, recordingCsv } from '../exchange/write-recording.ts';
import { parseArguments } from '../settings/index.ts';
import type { Invocation } from './invocation.ts';
import { openPast, stationOf } from './open-past.ts';
import { machineZone } from './surroundings.ts';
import { EXPORT_HELP, simulatedNote } from './words.ts';

export async function exportRecording({ argv }: Invocation): Promise<number> {
  const { values, switches } = parseArguments(argv, {
    values: ['data', 'station', 'from', 'to', 'zone'],
    switches: ['help'],
  });
  if (switches.has('help')) {
    process.stdout.write(EXPORT_HELP);
    return 0;
  }
  const option = (name: string) => values.get(name)?.at(-1);
  const instant = (name: string, otherwise: number) => {
    const told = option(name);
    if (told === undefined) return otherwise;
    const at = Date.parse(told);
    if (!Number.isNaN(at)) return at;
    throw new WattkeepError('USAGE', `--${name} is ${told.slice(0, 40)}.`, 'Give a date or an ISO 8601 instant.');
  };
  const { record, demo } = openPast(option('data'));
  try {
    const station = stationOf(record, option('station'));
    const range = [instant('from', 0), instant('to', Number.MAX_SAFE_INTEGER)] as const;
    if (demo) console.error(simulatedNote);
    const columns = recordingColumns(record.readings(station, ...range));
    const zone = option('zone') ?? machineZone();
    await pipeline(Readable.from(recordingCsv(record.readings(station, ...range), columns, zone)), process.stdout, {
      end: false,
    });
  } finally {
    record.close();
  }
  return 0;
}
