/** The reasons of a verdict in plain English; the numbers are written by whoever shows them. */
import type { Units } from './units.ts';
import type { PanelField, PortField, Reason, ReasonCode } from './verdicts.ts';

type Saying<C extends ReasonCode> = (reason: Extract<Reason, { code: C }>, units: Units) => string;

const PANEL_FIELD: { readonly [F in PanelField]: string } = {
  openCircuitV: 'open-circuit voltage (Voc)',
  shortCircuitA: 'short-circuit current (Isc)',
  maxPowerV: 'voltage at maximum power (Vmp)',
  ratedW: 'rated power (watts, or Vmp and Imp)',
  maxSeriesFuseA: 'maximum series fuse',
};

const PORT_FIELD: { readonly [F in PortField]: string } = {
  maxV: 'upper limit of volts',
  minV: 'lower limit of volts',
  maxA: 'limit of amps',
  maxW: 'limit of watts',
};

/** A value beyond a limit never reads as the limit itself. */
const beyond = (value: string, limit: string, side: 'more' | 'less') =>
  value === limit ? `a little ${side} than ${limit}` : value;

const count = (n: number, one: string) => (n === 1 ? `one ${one}` : `${n} ${one}s`);

const SAYINGS: { readonly [C in ReasonCode]: Saying<C> } = {
  overVoltage: (r, u) =>
    `Too many volts: up to ${beyond(u.volts(r.coldMaxV), u.volts(r.maxV), 'more')} on a morning of ${u.tempC(r.coldestC)}. The port bears ` +
    `${u.volts(r.maxV)}. Too high a voltage can destroy it at once.`,
  overCurrent: (r, u) =>
    `Too many amps: ${beyond(u.amps(r.designA), u.amps(r.maxA), 'more')} in the brightest sun. The port is rated ${u.amps(r.maxA)}, and its manual was ` +
    'not said to allow more.',
  overPlug: (r, u) =>
    `This lead is rated ${u.amps(r.plugA)}, and the brightest sun brings ${beyond(u.amps(r.designA), u.amps(r.plugA), 'more')}.`,
  unequalStrings: (r, u) =>
    `The strings differ: ${u.volts(r.highV)} and ${u.volts(r.lowV)}. In parallel they should lie within ` +
    `${u.percent(r.limitPct)}; the higher presses on the lower and both lose.`,
  panelUnknown: r => `The ${PANEL_FIELD[r.field]} of ${r.panel} is not known. Look on its label.`,
  portUnknown: r => `The ${PORT_FIELD[r.field]} of ${r.port} is not known. Look in the station's manual.`,
  coldestUnknown: () => 'The coldest morning at your place is not known; cold panels make more volts.',
  noFuseSize: (r, u) =>
    `Each string needs its own fuse of at least ${u.amps(r.leastA)} and at most ${u.amps(r.mostA)}; no usual size is ` +
    'that. Ask a licensed person.',
  underVoltage: (r, u) =>
    `Too few volts: ${beyond(u.volts(r.hotV), u.volts(r.minV), 'less')} when the air is ${u.tempC(r.hottestC)} and the panels are hot. The port starts ` +
    `at ${u.volts(r.minV)}.`,
  overWatts: (r, u) =>
    `The panels can give ${u.watts(r.offeredW)}; the port takes ${u.watts(r.maxW)}, so up to ${u.watts(r.lostW)} are lost.`,
  overAmpsAllowed: (r, u) =>
    `${u.amps(r.designA)} in the brightest sun; the port draws at most ${u.amps(r.maxA)}, and you said its manual allows ` +
    `more to be connected. In full sun ${u.watts(r.lostW)} are lost.`,
  mismatch: (r, u) =>
    `Unlike panels hold each other back: about ${u.watts(r.lostW)} lost, ${u.watts(r.offeredW)} left. ` +
    (r.inSeries ? 'In series the weakest current counts.' : 'In parallel the voltages should match.'),
  // At the limit, binary fractions must not make the value read as beyond it.
  nearVoltage: (r, u) =>
    `Close: up to ${u.volts(Math.min(r.coldMaxV, r.maxV))}, and the port bears ${u.volts(r.maxV)}.`,
  nearCurrent: (r, u) =>
    `Close: ${u.amps(Math.min(r.designA, r.maxA))} in the brightest sun, and the port is rated ${u.amps(r.maxA)}.`,
  nearPlug: (r, u) =>
    `Close: ${u.amps(Math.min(r.designA, r.plugA))} in the brightest sun, and this lead is rated ${u.amps(r.plugA)}.`,
  nearStart: (r, u) =>
    `Close: ${u.volts(Math.max(r.hotV, r.minV))} when hot, and the port starts at ${u.volts(r.minV)}.`,
  nearWatts: (r, u) =>
    `Close: ${u.watts(Math.min(r.offeredW, r.maxW))} of panels, and the port takes ${u.watts(r.maxW)}.`,
  coldVolts: (r, u) =>
    `${u.volts(r.coldV)} with nothing connected at ${u.tempC(r.coldestC)}, at most ${u.volts(r.coldMaxV)} with the ` +
    "label's tolerance.",
  designCurrent: (r, u) => `${u.amps(r.designA)} in the brightest sun: 1.25 × ${u.amps(r.shortCircuitA)}.`,
  stringFuses: (r, u) =>
    `Each string needs its own fuse${r.sizeA === null ? '' : `, ${u.amps(r.sizeA)}`}: ${u.amps(r.backFeedA)} could flow ` +
    `back into one whose panels allow ${u.amps(r.ratingA)}. IEC 62548 asks for fuses here: ${yes(r.iec62548)}; ` +
    `IEC 60364-7-712: ${yes(r.iec60364)}.`,
  leadLoss: (r, u) =>
    `The lead takes ${u.volts(r.voltsLost)} and ${u.watts(r.wattsLost)} in full sun` +
    `${r.plugA === null ? '' : `; it is rated ${u.amps(r.plugA)}`}.`,
  leadUnrated: () => "The rating of the lead's plugs is not known; the weakest plug decides what it may carry.",
  leftOver: (r, u) =>
    `Leaves ${count(r.panels, 'panel')} over${r.lessPct === null ? '' : `: ${u.percent(Math.round(r.lessPct))} less power`}.`,
  byTable: (r, u) =>
    `The Voc coefficient of ${r.panel} is not known: taken is the code table's factor ${r.factor.toFixed(2)} for ` +
    `${u.tempC(r.coldestC)}.`,
  toleranceAssumed: (r, u) =>
    `The label tolerance of ${r.panel} is not known: taken is ${u.percent(r.pct)}, as for a ${r.build} panel.`,
  powerPctAssumed: (r, u) => `The power coefficient of ${r.panel} is not known: taken is ${u.percentPerK(r.pctPerK)}.`,
  hottestAssumed: (r, u) => `The hottest day is not known: taken is air of ${u.tempC(r.hottestC)}.`,
};

const yes = (asked: boolean) => (asked ? 'yes' : 'no');

/** One reason as one or two sentences. */
export function say(reason: Reason, units: Units): string {
  return (SAYINGS[reason.code] as (reason: Reason, units: Units) => string)(reason, units);
}
