/** Names of saved files, as a browser reads them from the head of the answer. */
import { afterEach, beforeEach, expect, it } from 'vitest';
import { savedAs } from '../../agent/server/file-names.ts';
import { type Stage, stageServer } from '../support/server-stage.ts';

let stage: Stage;
beforeEach(async () => {
  stage = await stageServer();
});
afterEach(() => stage.close());

const nameOf = async (path: string): Promise<string> =>
  /filename="([^"]*)"/.exec((await stage.get(`/api/stations/shed/${path}`)).headers['content-disposition'] ?? '')![1]!;

it('says station, what is in it and of which days of the station’s zone', async () => {
  // Lisbon in June: the civil day of the 26th.
  const day = 'from=2026-06-25T23:00:00.000Z&to=2026-06-26T23:00:00.000Z';
  expect(await nameOf(`recording.csv?${day}`)).toBe('Honey shed, readings of 2026-06-26.csv');
  expect(await nameOf(`recording.parquet?${day}`)).toBe('Honey shed, readings of 2026-06-26.parquet');
  expect(await nameOf('recording.csv')).toBe('Honey shed, all readings.csv');
  expect(await nameOf('recording.csv?from=2026-06-25T23:00:00Z')).toBe('Honey shed, readings from 2026-06-26 on.csv');
  expect(await nameOf('days.csv?from=2026-06-01&to=2026-06-01')).toBe('Honey shed, days of 2026-06-01.csv');
  expect(await nameOf('days.csv?to=2026-06-30')).toBe('Honey shed, days up to 2026-06-30.csv');
  expect(await nameOf('days.csv')).toBe('Honey shed, all days.csv');
});

const DATES = { from: '2026-06-01', to: '2026-06-30' };
const named = (name: string, simulated = false) => savedAs({ id: 'shed', name, simulated }, 'days', DATES, 'csv');

it('keeps letters of any script, and gives others a name without them', () => {
  const value = named('Bienenhütte “Süd” 🐝');
  expect(value).toMatch(/^attachment; filename="[\x20-\x7e]*"; filename\*=UTF-8''[\x21-\x7e]*$/);
  expect(decodeURIComponent(value.split("''")[1]!)).toBe(
    'Bienenhütte “Süd” 🐝, days from 2026-06-01 to 2026-06-30.csv',
  );
  expect(value).toContain('filename="Bienenhutte -Sud- -, days from');
});

it('holds no letter that a system refuses in a file’s name, and none that ends the head’s line', () => {
  expect(named('..\\a/b:c*?"<d>|\r\nSet-Cookie: x\ud800 ')).toBe(
    'attachment; filename="-a-b-c----d----Set-Cookie- x-, days from 2026-06-01 to 2026-06-30.csv"',
  );
  expect(named('...')).toContain('filename="shed, days');
});

it('says of a simulated station that it is one', () => {
  expect(named('Honey shed', true)).toContain('filename="Honey shed (simulated), days from');
});
