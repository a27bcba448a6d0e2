/**
 * A report as one HTML page that needs nothing else: of a trial, or of several side by side. It tells what was measured,
 * how, how sure it is, and what it does not say. Neither the place nor hours of the clock stand in it unless they were
 * chosen: both tell of the owner's habits.
 */
import { type Together, together } from '#energy/estimates/trials/seen-together';
import type { ComparisonAnswer, WireDifference, WireTrial } from '#messages';
import { budgets } from './budgets.ts';
import { drawings } from './drawings.ts';
import { text } from './escape.ts';
import { figureName, sentence, sureOf, trueFigure } from './lead.ts';
import { moneyTable } from './money.ts';
import { toldWith, unit } from './numbers.ts';
import { STYLE } from './style.ts';
import * as words from './words.ts';

export interface ReportAsked {
  readonly comparison: ComparisonAnswer;
  /** For showing others. */
  readonly large: boolean;
  /** Chosen to be shown; null: not chosen, or not known. By the trial's id. */
  readonly places: ReadonlyMap<string, { latitudeDeg: number; longitudeDeg: number }>;
  /** Chosen: when by the clock. @returns such as `2026-06-21 14:03` */
  readonly clock: ((iso: string) => string) | null;
  /** Civil date of an instant at its station. */
  readonly dateOf: (trial: WireTrial, iso: string) => string;
  /** Readings behind each trial, by its id. */
  readonly samples: ReadonlyMap<string, number>;
  readonly madeOn: string;
  readonly version: string;
}

function hoursOf({ judgement }: WireTrial): string {
  if (judgement.beganAt === null || judgement.endedAt === null) return '';
  const minutes = Math.round((Date.parse(judgement.endedAt) - Date.parse(judgement.beganAt)) / 60_000);
  return `${Math.floor(minutes / 60)} h ${minutes % 60} min`;
}

const row = (name: string, value: string): string =>
  value === '' ? '' : `<tr><th>${text(name)}</th><td>${value}</td></tr>`;

const setTold = ({ name, ratedW }: { name: string; ratedW: number }): string =>
  `${text(name)}, ${ratedW}${unit('W on its label')}`;

function conditions(trial: WireTrial, asked: ReportAsked): string {
  const { judgement, conditions: told, options } = trial;
  const under = judgement.result?.under;
  const at = (value: number | null | undefined, sign: string, places = 0) =>
    value === null || value === undefined ? '' : `${value.toFixed(places)}${unit(sign)}`;
  const place = asked.places.get(trial.id);
  const meter = options.meter;
  const when = (iso: string | null) => (iso === null || asked.clock === null ? '' : text(asked.clock(iso)));
  return `<div class="table"><table>${[
    row('Identity', `<code>${text(trial.id)}</code>`),
    row('Station', text(trial.stationName)),
    row('On', text(asked.dateOf(trial, judgement.beganAt ?? trial.startedAt))),
    row('Began', when(judgement.beganAt)),
    row('Ended', when(judgement.endedAt)),
    row('Lasted', text(hoursOf(trial))),
    row('State', text(words.PHASES[judgement.phase])),
    row('Ended because', judgement.endsBecause === null ? '' : text(words.ENDS[judgement.endsBecause])),
    row(words.meanOf(trial.kind), trial.kind === 'ownDraw' ? '' : at(under?.meanW, 'W')),
    row('Battery temperature', at(under?.tempC, '°C')),
    row(
      'State of charge',
      typeof under?.fromPct !== 'number' || typeof under.toPct !== 'number'
        ? ''
        : `${Math.round(under.fromPct)} to ${Math.round(under.toPct)}${unit('%')}`,
    ),
    row('Load', text(told.load ?? '')),
    row('Air', at(told.airTempC, '°C')),
    row('Meter', meter === undefined ? '' : `${text(meter.name)}, ± ${meter.limitPct}${unit('% of its reading')}`),
    ...(options.kind === 'twoSets' ? [row('Set A', setTold(options.a)), row('Set B', setTold(options.b))] : []),
    row('Note', text(told.note ?? '')),
    row('Place', place === undefined ? '' : `${place.latitudeDeg}°, ${place.longitudeDeg}°`),
    row('Readings', String(asked.samples.get(trial.id) ?? '')),
  ].join('')}</table></div>`;
}

function figuresTable(trial: WireTrial): string {
  const figures = trial.judgement.result?.figures ?? [];
  if (figures.length === 0) return `<p>${text(words.NO_FIGURES)}</p>`;
  return `<div class="table"><table><caption>In brackets: the range that holds 19 times in 20.</caption>
    <thead><tr><th>What</th><th class="n">Value</th><th>By</th></tr></thead><tbody>${figures
      .map(
        f =>
          `<tr><td>${text(figureName(f))}</td><td class="n">${toldWith(trueFigure(trial, f), f.unit, unit)}</td><td>${words.AGAINST[f.against]}</td></tr>`,
      )
      .join('')}</tbody></table></div>`;
}

function spoiledTable(trial: WireTrial, asked: ReportAsked): string {
  const { spoiledBy } = trial.judgement;
  if (spoiledBy.length === 0) return '<p>Nothing was seen that spoils it, and no gap.</p>';
  const began = trial.judgement.beganAt ?? trial.startedAt;
  const since = (iso: string) => `${((Date.parse(iso) - Date.parse(began)) / 3_600_000).toFixed(2)}`;
  return `<div class="table seen"><table><thead><tr><th>What</th><th class="n">Hours after the beginning</th><th class="n">How much</th><th>Means</th></tr></thead><tbody>${together(
    spoiledBy,
  )
    .map(
      one =>
        `<tr><td>${words.SPOILER_NAMES[one.what]}${one.count === 1 ? '' : words.timesSeen(one.count)}</td><td class="n">${since(one.at)} to ${since(one.toAt)}${
          asked.clock === null ? '' : `<br><span class="soft">${text(asked.clock(one.at))}</span>`
        }</td><td class="n">${sizeOf(one)}</td><td>${words.CONSEQUENCES[one.consequence]}</td></tr>`,
    )
    .join('')}</tbody></table></div>`;
}

function sizeOf({ amount, most, isSum, unit: of }: Together<string>): string {
  const told = (value: number) => `${value.toFixed(1)}${unit(of ?? '')}`;
  if (amount === null || most === null) return '';
  return isSum ? words.inAll(told(amount), told(most)) : told(amount);
}

function differenceRow(one: WireDifference): string {
  const name = `${words.FIGURE_NAMES[one.what]}${one.atW === null ? '' : ` at ${Math.round(one.atW)} W`}`;
  const because = one.because.map(mind => words.MINDS[mind]).join('; ');
  return `<tr><td>${text(name)}<br><span class="soft"><code>${text(one.b)}</code> less <code>${text(one.a)}</code></span></td><td class="n">${toldWith({ value: one.difference, low95: one.low95, high95: one.high95 }, one.unit, unit)}</td><td>${words.VERDICTS[one.verdict]}${because === '' ? '' : `<br><span class="soft">${because}</span>`}</td></tr>`;
}

function sideBySide({ comparison }: ReportAsked): string {
  const { differences } = comparison;
  return `<h2>Side by side</h2>${
    differences.length === 0
      ? '<p>These results have no figure in common.</p>'
      : `<div class="table"><table><thead><tr><th>What</th><th class="n">Difference</th><th>Verdict</th></tr></thead><tbody>${differences.map(differenceRow).join('')}</tbody></table></div>`
  }${moneyTable(comparison)}`;
}

/** Nothing where there is no figure. */
function rangesPart(trial: WireTrial, h: string): string {
  const tables = budgets(trial);
  return tables === '' ? '' : `<${h}>Where the ranges come from</${h}>${tables}`;
}

function trialPart(trial: WireTrial, asked: ReportAsked, alone: boolean): string {
  const h = alone ? 'h2' : 'h3';
  return `${alone ? '' : `<h2>${text(trial.stationName)}, <code>${text(trial.id)}</code></h2>`}
    <${h}>Figures</${h}>${figuresTable(trial)}
    ${alone ? drawings([trial]) : ''}
    <${h}>Conditions</${h}>${conditions(trial, asked)}
    ${
      asked.large
        ? ''
        : `<${h}>What was seen</${h}>${spoiledTable(trial, asked)}<${h}>Method</${h}><p>${text(words.methodOf(trial.kind))}</p>
    ${rangesPart(trial, h)}`
    }`;
}

function headline({ comparison }: ReportAsked): string {
  const [first] = comparison.trials;
  if (comparison.trials.length === 1) return sentence(first!);
  const told = comparison.differences.filter(({ verdict }) => verdict !== 'notComparable');
  const differ = told.filter(({ verdict }) => verdict === 'differs').length;
  return told.length === 0
    ? 'These results cannot be set against each other.'
    : differ === 0
      ? 'No difference found.'
      : `${differ} of ${told.length} figures differ by more than their uncertainty.`;
}

/** The whole page. */
export function reportHtml(asked: ReportAsked): string {
  const { trials } = asked.comparison;
  const alone = trials.length === 1;
  const simulated = trials.some(trial => trial.simulated);
  const kinds = [...new Set(trials.map(trial => words.KIND_NAMES[trial.kind]!))].join(', ');
  const title = headline(asked);
  const versions = [...new Set(trials.map(trial => trial.version))].join(', ');
  return `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; img-src data:">
<title>${text(`${kinds}: ${trials.map(trial => trial.id).join(', ')}`)}</title><style>${STYLE}</style></head>
<body${asked.large ? ' class="large"' : ''}><main>
${simulated ? '<p class="simulated">Simulated station: these figures are of no real one.</p>' : ''}
<h1>${text(title)}</h1>
${alone ? `<p class="sure">${text(sureOf(trials[0]!))}</p>` : ''}
<p class="sure">${text(kinds)}. ${trials.map(trial => `<code>${text(trial.id)}</code>`).join(', ')}</p>
${alone ? '' : drawings(trials)}${alone ? '' : sideBySide(asked)}
${trials.map(trial => trialPart(trial, asked, alone)).join('')}
<h2>How sure</h2><p>${text(words.RANGES)}</p><p>${text(words.OWN_WATTS)}</p>
<h2>What this does not say</h2><ul>${words.NOT_SAID.map(line => `<li>${text(line)}</li>`).join('')}</ul>
<footer>Cite as: ${trials.map(trial => `<code>${text(trial.id)}</code>`).join(', ')}. Judged by wattkeep ${text(versions)}, this page made by wattkeep ${text(asked.version)} on ${text(asked.madeOn)}. The samples are kept with the trial and can be had as CSV. A discharge to the cut-off wears a battery a little; measure as often as it is worth that. Work at mains voltage is for those who know it.</footer>
</main></body></html>
`;
}
