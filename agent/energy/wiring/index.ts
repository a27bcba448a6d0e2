/** The string check: which way of wiring panels a station's solar port bears, and why. */
export { type Allocation, type Allocations, allocate } from './allocate.ts';
export { type Caution, type CautionCode, cautionsFor } from './cautions.ts';
export { type Arrangement, checkArrangement, checkArrangements } from './check.ts';
export { type Light, type MistakeCode, type Moment, meterNow, mistakesAt, type VoltRange } from './meter.ts';
export { type Lead, type Panel, type Port, panelOf, portOf, type Weather } from './panel.ts';
export { say } from './say.ts';
export { sayExpected, sayMistake } from './say-meter.ts';
export { plainUnits, type Units } from './units.ts';
export { callsFor, isSafe, type Reason, type ReasonCode, VERDICTS, type Verdict } from './verdicts.ts';
export type { PanelString, Way } from './ways.ts';
