/**
 * What one part of a composite station is taken for: only the quantities it is there for, and the states that go with
 * them. A meter that knows only `meterPowerW` stands for the one power that its part gives. Pure.
 */
import type { DecodedReading, QuantityKey, QuantityName, States } from '#kit';

const INCOMING: readonly QuantityName[] = ['solarPowerW', 'inputPowerW', 'chargerPowerW'];
const OUTGOING: readonly QuantityName[] = ['outputPowerW', 'acOutputPowerW', 'dcOutputPowerW'];
const POWERS: readonly QuantityName[] = [...INCOMING, ...OUTGOING];
const COUNTERS: readonly QuantityName[] = ['solarEnergyWh', 'inputEnergyWh', 'chargerEnergyWh', 'outputEnergyWh'];

const nameOf = (key: string): string => key.split('.', 1)[0]!;
const tells = ({ quantities }: DecodedReading, name: QuantityName): boolean =>
  Object.keys(quantities).some(key => nameOf(key) === name);

/** The one quantity of `kind` that the part gives and its source has no name for. */
function standsFor(gives: readonly QuantityName[], reading: DecodedReading, kind: readonly QuantityName[]) {
  const unnamed = gives.filter(name => kind.includes(name) && !tells(reading, name));
  return unnamed.length === 1 ? unnamed[0] : undefined;
}

/** What is incoming is known only where something incoming is read; outlets only where something outgoing is. */
function statesOf(states: States, gives: readonly QuantityName[]): States {
  const { inputLimitedBy, inputSource, acOutletsOn, dcOutletsOn, onMains, fault } = states;
  const isIncoming = gives.some(name => INCOMING.includes(name));
  const isOutgoing = gives.some(name => OUTGOING.includes(name));
  return {
    ...(isIncoming && inputLimitedBy !== undefined ? { inputLimitedBy } : {}),
    ...(isIncoming && inputSource !== undefined ? { inputSource } : {}),
    ...(isOutgoing && acOutletsOn !== undefined ? { acOutletsOn } : {}),
    ...(isOutgoing && dcOutletsOn !== undefined ? { dcOutletsOn } : {}),
    ...(isOutgoing && onMains !== undefined ? { onMains } : {}),
    ...(fault === undefined ? {} : { fault }),
  };
}

/** What a part's reading says of the station. */
export function partOf(reading: DecodedReading, gives: readonly QuantityName[]): DecodedReading {
  const part: DecodedReading = {
    quantities: {},
    states: statesOf(reading.states, gives),
    quality: reading.quality,
    reasons: {},
  };
  const take = (from: QuantityKey, to: QuantityKey): void => {
    part.quantities[to] = reading.quantities[from] ?? null;
    const reason = reading.reasons[from];
    if (reason !== undefined) part.reasons[to] = reason;
  };
  for (const key of Object.keys(reading.quantities) as QuantityKey[]) {
    if (gives.includes(nameOf(key) as QuantityName)) take(key, key);
  }
  const power = standsFor(gives, reading, POWERS);
  if (power !== undefined && tells(reading, 'meterPowerW')) take('meterPowerW', power);
  const counter = standsFor(gives, reading, COUNTERS);
  if (counter !== undefined && tells(reading, 'meterEnergyWh')) take('meterEnergyWh', counter);
  return part;
}

/** A part that says nothing: all that it gives is missing. */
export function nothingOf(gives: readonly QuantityName[]): DecodedReading {
  const missing = gives.map(name => [name, null] as const);
  const reasons = gives.map(name => [name, 'notAvailable'] as const);
  return {
    quantities: Object.fromEntries(missing),
    states: {},
    quality: 'bad',
    reasons: Object.fromEntries(reasons),
  };
}
