/** `wattkeep ledger`: the harvest of each day with its coverage, as a table, CSV or JSON. */
import { homedir } from 'node:os';
import { MILLIJ_PER_WH } from '#energy/integrate';
import type { DayTotals } from '#messages';
import { coveragePct } from '../exchange/write-ledger.ts';
import { defaultPaths, loadSettings, parseArguments } from '../settings/index.ts';
import type { OpenedRecord } from '../store/open.ts';
import type { Invocation } from './invocation.ts';
import { factsOfSettings } from './ledger-facts.ts';
import { type LedgerYields, ledgerYields } from './ledger-yields.ts';
import { notedLedger } from './noted-ledger.ts';
import { openPast, stationOf } from './open-past.ts';
import { clock } from './surroundings.ts';
import { LEDGER_HELP, simulatedNote } from './words.ts';

export async function ledger({ argv }: Invocation): Promise<number> {
  const { values, switches } = parseArguments(argv, {
    values: ['data', 'settings', 'station', 'from', 'to'],
    switches: ['csv', 'json', 'help'],
  });
  if (switches.has('help')) {
    process.stdout.write(LEDGER_HELP);
    return 0;
  }
  const option = (name: string) => values.get(name)?.at(-1);
  const { record, demo } = openPast(option('data'));
  try {
    const station = stationOf(record, option('station'));
    const [from, to] = [option('from') ?? '0000-01-01', option('to') ?? '9999-12-31'];
    const days = record.days(station, from, to);
    if (demo) console.error(simulatedNote);
    process.stdout.write(
      switches.has('csv')
        ? notedLedger(record, station, from, to, clock.nowMs())
        : switches.has('json')
          ? json(days, yieldsOn(record, station, option('settings')))
          : table(days),
    );
  } finally {
    record.close();
  }
  return 0;
}

const wh = (milliJ: number) => Math.round(milliJ / MILLIJ_PER_WH);
const totalsOf = (days: readonly DayTotals[]) => ({
  solarWh: wh(days.reduce((sum, d) => sum + d.solarMilliJ, 0)),
  inputWh: wh(days.reduce((sum, d) => sum + d.inputMilliJ, 0)),
  outputWh: wh(days.reduce((sum, d) => sum + d.outputMilliJ, 0)),
});

/** The record's dated facts; one that has none, such as an imported one, takes what the settings say today. */
function yieldsOn(record: OpenedRecord, station: string, settingsFile: string | undefined) {
  const dated = record.facts(station);
  const facts = dated.length > 0 ? dated : factsFromFile(station, settingsFile);
  return (day: DayTotals) => ledgerYields(record, station, facts, day);
}

function factsFromFile(station: string, settingsFile: string | undefined) {
  const paths = defaultPaths(process.platform, process.env, homedir());
  const { settings } = loadSettings(settingsFile ?? (process.env.WATTKEEP_SETTINGS || paths.settingsFile));
  const found = settings.station.find(s => s.id === station);
  return found === undefined ? [] : factsOfSettings(found);
}

const json = (days: readonly DayTotals[], yields: (day: DayTotals) => LedgerYields) =>
  `${JSON.stringify({
    days: days.map(d => ({
      date: d.date,
      zone: d.zone,
      solarWh: d.solarMilliJ / MILLIJ_PER_WH,
      inputWh: d.inputMilliJ / MILLIJ_PER_WH,
      outputWh: d.outputMilliJ / MILLIJ_PER_WH,
      coveragePct: coveragePct(d, clock.nowMs()),
      ...yields(d),
    })),
    totals: totalsOf(days),
  })}\n`;

function table(days: readonly DayTotals[]): string {
  const row = (cells: readonly (string | number)[]) =>
    cells.map((cell, i) => (i === 0 ? String(cell).padEnd(12) : String(cell).padStart(12))).join('');
  const total = totalsOf(days);
  return [
    row(['date', 'sun Wh', 'in Wh', 'out Wh', 'recorded %']),
    ...days.map(d =>
      row([
        d.date,
        wh(d.solarMilliJ),
        wh(d.inputMilliJ),
        wh(d.outputMilliJ),
        Math.round(coveragePct(d, clock.nowMs())),
      ]),
    ),
    row(['sum', total.solarWh, total.inputWh, total.outputWh, '']),
    '',
  ].join('\n');
}
