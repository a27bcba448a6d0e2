/** What `wattkeep trial` prints: its help, the list of trials, one trial with its figures, results side by side. */
import { together } from '#energy/estimates/trials/seen-together';
import type { ComparisonAnswer, WireTrial } from '#messages';
import { trueFigure } from '../trials/report/lead.ts';
import { toldWith, withRange } from '../trials/report/numbers.ts';
import {
  CONSEQUENCES,
  ENDS,
  FIGURE_NAMES,
  KIND_NAMES,
  MINDS,
  PHASES,
  SPOILER_NAMES,
  timesSeen,
  VERDICTS,
} from '../trials/report/words.ts';

export const TRIAL_HELP = `usage: wattkeep trial list [--station ID] [--json]
       wattkeep trial start KIND [--station ID] [options] [--json]
       wattkeep trial show ID [--json]
       wattkeep trial end ID [--json]
       wattkeep trial step ID a|b|away
       wattkeep trial meter ID WH
       wattkeep trial remove ID
       wattkeep trial compare ID ID ... [--json]
       wattkeep trial report ID ... [--out FILE] [--large] [--place] [--clock]

Measures a station: usable energy (usable), its own draw (own-draw), the converter's losses (converter), a charge
(charge), a day of sun (solar), two panel sets (two-sets). A trial begins and ends by itself; unplugging the load, sun on
the panels and the like are seen and told. Switch-over and surge cannot be told from readings that come once a second.

for any kind:   --temp-min C  --temp-max C  --own-watts-limit PCT  --battery-limit PCT
                --note TEXT  --load TEXT  --air C
a meter:        --meter NAME  --meter-limit PCT  --meter-source STATION (typed with "trial meter" where left out)
                --meter-step-w W  --meter-step-wh WH
usable:         --floor PCT (down to the cut-off where left out)
own-draw:       --narrow-pct PCT  --narrow-w W  --longest-hours H
converter:      --loads N
charge:         --source wall|sun  --from-pct PCT  --discharge ID
two-sets:       --how alternated|ports  --a NAME:WATTS  --b NAME:WATTS  --port-a N  --port-b N
report:         --place with coordinates, --clock with hours of the clock, --large in big type; to the screen without --out

start, step, meter, end and remove ask the running agent; the others read the record where none runs. --data DIR names
the data folder.

example: wattkeep trial start usable --station shed --load "60 W lamp" --meter plug --meter-limit 1
`;

export const NONE = 'No trials yet. Start one: wattkeep trial start usable.';

const name = (what: keyof typeof FIGURE_NAMES, atW: number | null) =>
  `${FIGURE_NAMES[what]}${atW === null ? '' : ` at ${Math.round(atW)} W`}`;

/** Columns as wide as their widest cell, two spaces apart. */
function columns(rows: readonly (readonly string[])[]): string {
  const widths = (rows[0] ?? []).map((_, k) => Math.max(...rows.map(row => row[k]!.length)));
  return rows
    .map(row =>
      row
        .map((cell, k) => cell.padEnd(widths[k]!))
        .join('  ')
        .trimEnd(),
    )
    .join('\n');
}

export const listTold = (trials: readonly WireTrial[]): string =>
  trials.length === 0
    ? NONE
    : columns(
        trials.map(trial => [
          trial.id,
          trial.stationName,
          KIND_NAMES[trial.kind]!,
          trial.judgement.phase + (trial.simulated ? ', simulated' : ''),
        ]),
      );

export function trialTold(trial: WireTrial): string {
  const { judgement } = trial;
  const share = judgement.progress.share;
  const lines = [
    `${trial.id}: ${KIND_NAMES[trial.kind]}, ${trial.stationName}${trial.simulated ? ' (simulated station)' : ''}`,
    `${PHASES[judgement.phase]}${judgement.endsBecause === null ? '' : `; ${ENDS[judgement.endsBecause]}`}${
      judgement.waitsFor === null ? '' : `; waits for: ${judgement.waitsFor}`
    }${judgement.phase === 'running' && share !== null ? `; ${Math.round(100 * Math.min(1, Math.max(0, share)))} %` : ''}`,
  ];
  const figures = judgement.result?.figures ?? [];
  if (figures.length > 0)
    lines.push('', columns(figures.map(f => [name(f.what, f.atW), toldWith(trueFigure(trial, f), f.unit)])), '', RANGE);
  if (judgement.spoiledBy.length > 0)
    lines.push(
      '',
      columns(
        together(judgement.spoiledBy).map(one => [
          one.at.slice(0, 16),
          SPOILER_NAMES[one.what] + (one.count === 1 ? '' : timesSeen(one.count)),
          CONSEQUENCES[one.consequence],
        ]),
      ),
    );
  return lines.join('\n');
}

const RANGE = 'In brackets: the range that holds 19 times in 20.';

export function comparisonTold({ differences, worth, currency }: ComparisonAnswer): string {
  const rows = differences.map(one => [
    name(one.what, one.atW),
    `${one.b} less ${one.a}`,
    toldWith({ value: one.difference, low95: one.low95, high95: one.high95 }, one.unit),
    VERDICTS[one.verdict] + (one.because.length === 0 ? '' : ` (${one.because.map(mind => MINDS[mind]).join('; ')})`),
  ]);
  const money = worth.flatMap(w =>
    w.perDeliveredWh === null ? [] : [[w.trial, `${withRange(w.perDeliveredWh)} ${currency ?? ''} for a delivered Wh`]],
  );
  return [
    rows.length === 0 ? 'These results have no figure in common.' : columns(rows),
    ...(money.length === 0 ? [] : ['', columns(money)]),
    ...(rows.length === 0 ? [] : ['', RANGE]),
  ].join('\n');
}
