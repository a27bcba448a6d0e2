/** `wattkeep ledger`: each day's harvest, where the rest went and how much was recorded, as a table, CSV or JSON. */
import { homedir } from 'node:os';
import { WattkeepError } from '#kit';
import type { Fact } from '#messages';
import { periodsCsv } from '../exchange/write-figures.ts';
import { defaultPaths, loadSettings, parseArguments } from '../settings/index.ts';
import type { OpenedRecord } from '../store/open.ts';
import type { Invocation } from './invocation.ts';
import { type LedgerWorked, ledgerWorked } from './ledger-answer.ts';
import { factsOfSettings } from './ledger-facts.ts';
import { PERIODS, type Period, periodSums } from './ledger-periods.ts';
import { ledgerJson, ledgerTable } from './ledger-print.ts';
import { notedLedger } from './noted-ledger.ts';
import { openPast, stationOf } from './open-past.ts';
import { clock } from './surroundings.ts';
import { LEDGER_HELP, simulatedNote } from './words.ts';

const FIRST_DATE = '0000-01-01';
const LAST_DATE = '9999-12-31';

export async function ledger({ argv }: Invocation): Promise<number> {
  const { values, switches } = parseArguments(argv, {
    values: ['data', 'settings', 'station', 'from', 'to', 'by'],
    switches: ['csv', 'json', 'help'],
  });
  if (switches.has('help')) {
    process.stdout.write(LEDGER_HELP);
    return 0;
  }
  const option = (name: string) => values.get(name)?.at(-1);
  const by = periodAsked(option('by'));
  const [from, to] = datesAsked(option('from'), option('to'));
  const { record, demo } = openPast(option('data'));
  try {
    const station = stationOf(record, option('station'));
    const nowMs = clock.nowMs();
    const zone = record.days(station, FIRST_DATE, LAST_DATE).at(-1)?.zone ?? 'UTC';
    const facts = factsOn(record, station, option('settings'));
    const worked = withoutToday(ledgerWorked(record, { station, zone, from, to, nowMs, facts }));
    if (demo) console.error(simulatedNote);
    const printed = { ...worked, by, nowMs };
    process.stdout.write(
      switches.has('csv')
        ? by === null
          ? notedLedger(record, station, from, to, nowMs, worked.answer.days)
          : periodsCsv(periodSums(by, worked.days, worked.answer.missing, nowMs))
        : switches.has('json')
          ? ledgerJson(printed)
          : ledgerTable(printed),
    );
  } finally {
    record.close();
  }
  return 0;
}

/** A day that has only begun, and of which nothing is recorded yet, is not missing yet. */
const withoutToday = ({ answer, days }: LedgerWorked): LedgerWorked => ({
  answer: { ...answer, missing: answer.missing.filter(({ date }) => date < answer.today) },
  days,
});

/** The record's dated facts; one that has none, such as an imported one, takes what the settings say today. */
function factsOn(record: OpenedRecord, station: string, settingsFile: string | undefined): readonly Fact[] {
  const dated = record.facts(station);
  if (dated.length > 0) return dated;
  const paths = defaultPaths(process.platform, process.env, homedir());
  const { settings } = loadSettings(settingsFile ?? (process.env.WATTKEEP_SETTINGS || paths.settingsFile));
  const found = settings.station.find(s => s.id === station);
  return found === undefined ? [] : factsOfSettings(found, settings.tariff);
}

function datesAsked(first: string | undefined, last: string | undefined): [from: string, to: string] {
  const [from, to] = [dateAsked('from', first) ?? FIRST_DATE, dateAsked('to', last) ?? LAST_DATE];
  if (from <= to) return [from, to];
  throw new WattkeepError('USAGE', `--from ${from} is later than --to ${to}.`, 'Give the earlier date first.');
}

/** A civil date as it was given; undefined where it was not. */
function dateAsked(name: string, text: string | undefined): string | undefined {
  const midnight = /^\d{4}-\d{2}-\d{2}$/.test(text ?? '') ? Date.parse(`${text}T00:00:00Z`) : Number.NaN;
  // 30 February is read as 2 March: only a date that comes back as itself exists.
  if (text === undefined || (!Number.isNaN(midnight) && new Date(midnight).toISOString().startsWith(text))) return text;
  throw new WattkeepError('USAGE', `--${name} ${text} is not a date.`, 'Write it as 2026-06-21.');
}

function periodAsked(by: string | undefined): Period | null {
  const period = PERIODS.find(known => known === by);
  if (by === undefined || period !== undefined) return period ?? null;
  throw new WattkeepError('USAGE', `--by ${by} is not known.`, `Use one of ${PERIODS.join(', ')}.`);
}
