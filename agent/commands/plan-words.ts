/** What `wattkeep plan` prints: the list with its verdicts, how long it runs, the sun by month, the hours of the wall. */
import type { Range } from '#energy/estimates/plan/lasting';
import { meanW, runningW } from '#energy/estimates/plan/planned-load';
import type { Lasting, PlanBasis, SunPlan, WallPlanTold } from '#energy/estimates/plan/planning';
import type { LoadVerdict, PlanVerdict } from '#energy/estimates/plan/verdicts';
import type { PlannedLoadSettings } from '#messages';

export const PLAN_HELP = `usage: wattkeep plan [--station ID] [--json] [--data DIR]

What you want to run, as it is kept on the page (Outlast, Plan) or in the settings under [station.plan]: whether the
station carries it, for how long, in how many days of ten the sun keeps up, the smallest that would do, and the cheap
hours of the wall. Asks the running agent. Advice only: nothing is switched.

example: wattkeep plan --station shed
`;

export const NOTHING_PLANNED = 'Nothing is planned yet. Add what is to run on the page: Outlast, then Plan.';
export const NO_SIZE = 'How long is not known: tell Setup the energy on the label.';
export const NO_PLACE = 'The sun is left out: tell Setup where it stands.';
const VERDICTS: Readonly<Record<Exclude<LoadVerdict['verdict'], 'othersOff'>, string>> = {
  runs: 'runs',
  tooBig: 'too big',
  unknown: 'not known: its limit is not told',
};
const OTHERS_OFF = { continuous: 'runs only with others off', surge: 'starts only with others off' } as const;
const MONTHS = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'];
const DAYS = ['Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat', 'Sun'];

const whole = (value: number): string => String(Math.round(value));
const watts = (w: number): string => `${w < 10 ? w.toFixed(1) : whole(w)} W`;
const wattHours = (wh: number): string => `${whole(wh)} Wh`;
/** Never told smaller than it is. */
const upTo10 = (value: number): number => Math.ceil(value / 10 - 1e-9) * 10;
const span = (hours: number): string =>
  hours < 3 ? `${whole(60 * hours)} min` : hours < 48 ? `${whole(hours)} h` : `${(hours / 24).toFixed(1)} days`;
const range = ({ p10, p50, p90 }: Range): string => `${span(p50)} (8 of 10: ${span(p10)} to ${span(p90)})`;

/** Columns as wide as their widest cell, two spaces apart; the first one to the left. */
function columns(rows: readonly (readonly string[])[]): string {
  const widths = rows[0]!.map((_, k) => Math.max(...rows.map(row => row[k]!.length)));
  return rows
    .map(row =>
      row
        .map((cell, k) => (k === 0 || k === row.length - 1 ? cell.padEnd(widths[k]!) : cell.padStart(widths[k]!)))
        .join('  ')
        .trimEnd(),
    )
    .join('\n');
}

export function loadsTold(loads: readonly PlannedLoadSettings[], { loads: verdicts }: PlanVerdict): string {
  const told = ({ off, verdict, by, othersFit }: LoadVerdict) =>
    verdict === 'othersOff'
      ? `${OTHERS_OFF[by ?? 'continuous']}${othersFit ? '' : ' (the others alone are too much)'}, off first: ${off.map(i => loads[i]!.name).join(', ')}`
      : VERDICTS[verdict];
  return columns([
    ['what is to run', 'draws', 'a day', ''],
    ...loads.map((load, i) => [
      `${load.count > 1 ? `${load.count} × ` : ''}${load.name}`,
      watts(runningW(load)),
      wattHours(24 * meanW(load)),
      told(verdicts[i]!),
    ]),
  ]);
}

export function lastingTold({ full, now, needed }: Lasting, { full: from }: Pick<PlanBasis, 'full'>): string {
  const rows = [
    `From ${whole(from.fromPct)} % down to ${whole(from.toPct)} % on the battery alone: ${range(full)}.`,
    ...(now === null ? [] : [`As it is charged now: ${range(now)}.`]),
    ...(needed === null ? [] : [`Only what must stay on: ${range(needed)}.`]),
  ];
  return rows.join('\n');
}

export function sunTold({ months, smallest, worksheet, assumedPanels }: SunPlan): string {
  const table = columns([
    ['month', 'sun a day', 'days of ten', 'dull days', 'known from'],
    ...months.map(month => [
      MONTHS[month.month - 1]!,
      `${whole(month.sunWh.p10)}–${wattHours(month.sunWh.p90)}`,
      whole(month.inTen),
      month.dullDays === null ? 'no end' : month.dullDays.toFixed(1),
      month.from === 'assumed' ? 'assumed' : `${month.recordedDays} recorded days`,
    ]),
  ]);
  const panels = (w: number | null) => (w === null ? 'no panels, for there is no sun' : watts(upTo10(w)));
  const least =
    smallest === null
      ? []
      : [
          `The smallest that would do, for ${MONTHS[smallest.month - 1]!}: ${wattHours(upTo10(smallest.stationWh))} and ${panels(smallest.panelW)}; on paper ${wattHours(upTo10(worksheet.stationWh))} and ${panels(worksheet.panelW)}.`,
        ];
  return [
    table,
    ...least,
    ...(assumedPanels ? ['No panels are told: 100 W are taken, tilted by the latitude.'] : []),
  ].join('\n');
}

export function wallTold(wall: WallPlanTold, currency: string): string {
  if (wall.kind === 'flat') return 'Every hour of the wall costs the same: nothing is to be saved by choosing them.';
  if (wall.kind === 'nothing') return 'Losses and wear take all that the cheap hours of the wall would save.';
  const { p10, p50, p90 } = wall.saves;
  const money = (value: number) => `${value.toFixed(2)} ${currency}`;
  const days = DAYS.map((day, d) => `  ${day}  ${spans(wall.on.slice(24 * d, 24 * d + 24)) || 'not at all'}`);
  return [
    `At the wall in these hours about ${money(p50)} a month would be saved (8 of 10: ${money(p10)} to ${money(p90)}), wear ${wall.wear === null ? 'not counted' : 'taken off'}:`,
    ...days,
    `That is ${wall.cycles.toFixed(1)} full cycles a month more${wall.wear === null ? '' : `, ${money(wall.wear)} of wear`}. Nothing is switched here.`,
  ].join('\n');
}

function spans(on: readonly boolean[]): string {
  const found: string[] = [];
  for (let from = 0; from < on.length; from++) {
    if (on[from] !== true || on[from - 1] === true) continue;
    const end = on.findIndex((is, h) => h > from && !is);
    found.push(`${clock(from)}–${clock(end < 0 ? on.length : end)}`);
  }
  return found.join(', ');
}

const clock = (hour: number): string => `${String(hour).padStart(2, '0')}:00`;
