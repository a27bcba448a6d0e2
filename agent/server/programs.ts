/**
 * What no session may change over a network, whatever it is allowed: which programs are started on this machine, and
 * whom it listens to. A connection that is not encrypted can be taken over; then no more must come of it than wrong
 * settings.
 */
import { WattkeepError } from '#kit';
import type { Settings, TransportSettings } from '#messages';

/** Every program that the settings start, with its arguments. */
function programsOf({ station }: Settings): Set<string> {
  const transports: TransportSettings[] = station.flatMap(({ transport }) =>
    transport.kind === 'parts' ? transport.part.map(part => part.transport) : [transport],
  );
  return new Set(transports.flatMap(one => (one.kind === 'process' ? [JSON.stringify(one.command)] : [])));
}

/** @throws WattkeepError SCOPE_NEEDED where a change that came over a network reaches too far */
export function refuseBeyondNetwork(before: Settings, after: Settings): void {
  const known = programsOf(before);
  const fix = 'Make that change on wattkeep’s own computer.';
  if ([...programsOf(after)].some(program => !known.has(program)))
    throw new WattkeepError('SCOPE_NEEDED', 'Which programs are started is decided on wattkeep’s own computer.', fix);
  if (JSON.stringify(sorted(before.server)) !== JSON.stringify(sorted(after.server)))
    throw new WattkeepError('SCOPE_NEEDED', 'Where it listens is decided on wattkeep’s own computer.', fix);
}

const sorted = (table: object) => Object.entries(table).sort(([a], [b]) => (a < b ? -1 : 1));
