/**
 * Suspects where nothing comes in at all though the sun is up: a plug or a string in series that is open, volts below the
 * port's window or above its limit, or a station that takes nothing. Weights are own judgement.
 */
import { openVolts, type Scene, type Suspect } from './suspect.ts';
import { coveredW, guessed, tooManyVolts } from './suspects-limits.ts';

/** Of what is offered; and in any case. */
const NOTHING_SHARE = 0.02;
const NOTHING_W = 1.5;
/** Less than this is nobody's panel, V. */
const NO_VOLTS = 2;
/** A port wants a little more than its least volts before it starts (common practice, no source). */
const START_MARGIN_V = 2;

export const comesToNothing = ({ observed, expected }: Scene): boolean =>
  observed.gotW < Math.max(NOTHING_W, NOTHING_SHARE * expected.offeredW);

export function nothingSuspects(scene: Scene): Suspect[] {
  return [...limits(scene), ...open(scene), ...window(scene)].filter(({ weight }) => weight > 0);
}

const any = (cause: Suspect['cause'], weight: number): Suspect => ({ cause, weight, leavesW: null, volts: null });

/** A limit leaves nothing only where nothing goes out that the sun could feed; a port, where the volts are too many. */
function limits(scene: Scene): Suspect[] {
  const { full, cold, owner, port } = guessed(scene);
  const covers = coveredW(scene);
  const idle = covers === null ? 0.5 : covers < 40 ? 1 : 0.1;
  const refuses = tooManyVolts(scene) || scene.observed.limitedBy === 'port';
  return [
    any('full', full * idle),
    any('cold', cold * idle),
    any('owner', owner * idle),
    any('port', refuses ? port : 0),
  ];
}

/** Nothing arrives: a plug out, or a string that is open somewhere. */
function open({ observed: { solarVoltageV: volts } }: Scene): Suspect[] {
  return [any('stringMissing', volts === null ? 1 : volts < NO_VOLTS ? 20 : 0.05)];
}

/** Something arrives, but not enough volts to start on. */
function window(scene: Scene): Suspect[] {
  const { observed, wired, wirings } = scene;
  const { solarVoltageV: volts } = observed;
  const { minV } = wired.port;
  if (volts !== null) {
    if (minV === null) return [any('lowVoltage', volts < NO_VOLTS ? 0.3 : 0.5)];
    return [any('lowVoltage', volts >= NO_VOLTS && volts < minV + START_MARGIN_V ? 20 : 0.1)];
  }
  const opens = wirings.map(wiring => openVolts(scene, wiring, scene.lightShare)).filter(v => v !== null);
  const low = minV !== null && opens.length > 0 && opens.every(v => v < minV + START_MARGIN_V);
  return [any('lowVoltage', low ? 8 : scene.expected.planeWm2 < 120 ? 1 : 0.3)];
}
