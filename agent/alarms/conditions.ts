/**
 * From what the page is told of a station and of the agent to what is seen of each alarm's cause. Pure. Limits stand in
 * the table of kinds; `nowAt` is UTC epoch ms, ages are by the monotonic clock.
 */
import type { WireHealth, WireProjection, WireReading, WireStatus } from '#messages';
import type { Knowledge, KnowledgeOf, Seen, Sight } from './alarms.ts';
import { ALARMS, NEAR_FLOOR_PCT } from './kinds.ts';
import type { Look } from './slot.ts';

const MINUTE_MS = 60_000;
/** Watts that count as a load, or as charging; below it is what a converter draws for itself (common practice). */
const DRAWS_W = 5;
const CHARGES_W = 10;
/** What cools or warms draws again so soon after its outlet is back (common practice, no source). */
const DRAWS_WITHIN_MS = 60 * MINUTE_MS;
/** Nobody's plans hang on less (common practice, no source). */
const CLOCK_AGREES_MS = 2 * MINUTE_MS;
/** A station may say anything: so much of it is read. */
const FAULT_CHARACTERS = 80;

export interface StationSeen {
  readonly id: string;
  readonly status: WireStatus | null;
  readonly projection: WireProjection | null;
  /** The last of this run. */
  readonly reading: WireReading | null;
  /** The last of an earlier one: only whether something was drawing then counts. */
  readonly before: WireReading | null;
  /** Since the last of this run, or since one is waited for, ms. */
  readonly ageMs: number;
  /** Solar ports in their order, with their highest volts; null where not told. */
  readonly ports: readonly { readonly name: string | null; readonly maxV: number | null }[];
  /** An alarm stands there already. */
  readonly alarmed: boolean;
  /** And it is that of its end. */
  readonly ending: boolean;
  /** Since its AC outlets were last seen off, ms; endless where they were not. */
  readonly outletsOnMs: number;
}

export interface AgentSeen {
  /** Why nothing is being saved; null while it is. */
  readonly unsaved: string | null;
  readonly clock: WireHealth['clock'];
  /** How far the record's time lies from the computer's, ms; null where nothing was read yet. */
  readonly clockOffMs: number | null;
}

export function lookAround(stations: readonly StationSeen[], agent: AgentSeen, nowAt: number): Seen {
  const sights: Sight[] = [
    {
      kind: 'unsaved',
      station: null,
      detail: '',
      look: onOff(agent.unsaved !== null),
      values: { code: agent.unsaved },
    },
    {
      kind: 'clock',
      station: null,
      detail: '',
      look: onOff(isWrong(agent)),
      values: { clock: agent.clock },
    },
  ];
  const known = new Map<string, KnowledgeOf>();
  for (const station of stations) {
    const knowledge = knowledgeOf(station);
    const told = station.projection !== null && station.projection.why !== 'stale';
    known.set(station.id, {
      readings: knowledge,
      projection: knowledge === 'lost' ? 'lost' : told ? 'known' : 'unsure',
    });
    sights.push(silent(station, knowledge));
    if (knowledge === 'known') sights.push(...fromReading(station));
    if (knowledge !== 'lost') sights.push(...fromProjection(station, nowAt));
  }
  return { sights, stations: known };
}

/** Put right by a minute, a clock needs nobody: the record waits for it until the two meet. */
const isWrong = ({ clock, clockOffMs }: AgentSeen): boolean =>
  clock === 'unknown' || (clock === 'stepped' && (clockOffMs === null || clockOffMs > CLOCK_AGREES_MS));

const onOff = (on: boolean): Look => (on ? 'on' : 'off');
/** A figure against its deadband; `down` where a low one raises. */
function against(value: number, { raise, over }: { raise: number; over: number }): Look {
  const down = raise < over;
  if (down ? value <= raise : value >= raise) return 'on';
  return (down ? value > over : value < over) ? 'off' : 'between';
}

/** Let go by the owner's word: silence is what was asked for. */
const isLetGo = ({ status }: StationSeen): boolean => status?.phase === 'released' || status?.phase === 'away';
const isTyped = ({ status, reading }: StationSeen): boolean => status?.phase === 'typed' || reading?.typed === true;

function knowledgeOf(station: StationSeen): Knowledge {
  const { reading, before, status, ageMs } = station;
  if (isLetGo(station) || isTyped(station)) return 'known';
  // What speaks only on change may be silent for long, and what speaks seldom for as long as it is used to.
  const staleAfterMs = status?.staleAfterMs ?? null;
  const isLost = staleAfterMs !== null && ageMs >= Math.max(silentAfterMs, staleAfterMs);
  if (isLost && (reading ?? before) !== null) return 'lost';
  if (reading === null) return 'unsure';
  const live = status === null || status.phase === 'live';
  return live && (staleAfterMs === null || ageMs < staleAfterMs) ? 'known' : 'unsure';
}

const silentAfterMs = ALARMS.silent.deadband!.raise * MINUTE_MS;

function silent(station: StationSeen, knowledge: Knowledge): Sight {
  const { id, ageMs, alarmed } = station;
  const last = station.reading ?? station.before;
  const drew = (last?.quantities.outputPowerW ?? 0) >= DRAWS_W;
  const values = { lastAt: last?.at ?? null, powerW: last?.quantities.outputPowerW ?? null };
  const over = ageMs < ALARMS.silent.deadband!.over * MINUTE_MS || isLetGo(station) || isTyped(station);
  const look = knowledge === 'lost' && (drew || alarmed) ? 'on' : over ? 'off' : 'between';
  return { kind: 'silent', station: id, detail: '', look, values };
}

function fromReading(station: StationSeen): Sight[] {
  const { id, reading } = station;
  if (reading === null || isLetGo(station)) return [];
  const fault = reading.states.fault?.trim().slice(0, FAULT_CHARACTERS) ?? '';
  return [
    ...overVolts(station, reading),
    ...cold(id, reading),
    ...(fault === ''
      ? []
      : [{ kind: 'fault' as const, station: id, detail: fault, look: 'on' as const, values: { fault } }]),
  ];
}

function overVolts({ id, ports }: StationSeen, { quantities }: WireReading): Sight[] {
  const told = ports.flatMap(({ maxV }) => maxV ?? []);
  // Volts of no port in particular are held against the lowest limit.
  const lowest = { port: null, portName: null, maxV: told.length === 0 ? null : Math.min(...told) };
  const each = ports.map(({ name, maxV }, i) => ({ port: i + 1, portName: name, maxV }));
  return [lowest, ...each].flatMap(({ port, portName, maxV }): Sight[] => {
    const volts = quantities[port === null ? 'solarVoltageV' : `solarVoltageV.${port}`] ?? null;
    if (volts === null || maxV === null) return [];
    const look = against((100 * volts) / maxV, ALARMS.overVolts.deadband!);
    const values = { volts, limitV: maxV, port, portName, ports: ports.length };
    return [{ kind: 'overVolts', station: id, detail: String(port ?? ''), look, values }];
  });
}

function cold(id: string, { quantities }: WireReading): Sight[] {
  const tempC = quantities.batteryTempC ?? null;
  const { batteryPowerW, inputPowerW, outputPowerW } = quantities;
  const chargeW = batteryPowerW ?? (inputPowerW ?? 0) - (outputPowerW ?? 0);
  // Not told for a while is no warmer.
  const coldness = tempC === null ? 'unknown' : against(tempC, ALARMS.cold.deadband!);
  const look = chargeW < CHARGES_W ? 'off' : coldness;
  return [{ kind: 'cold', station: id, detail: '', look, values: { tempC, chargeW } }];
}

/** Unknown is not near: then nothing is held back. */
function isNearFloor({ projection, reading }: StationSeen): boolean {
  const pct = reading?.quantities.stateOfChargePct ?? null;
  return projection !== null && pct !== null && pct < projection.floorPct + NEAR_FLOOR_PCT;
}

/** What is promised says itself that it is stale. */
function fromProjection(station: StationSeen, nowAt: number): Sight[] {
  const { id, projection } = station;
  if (isLetGo(station)) return [];
  const sees = (kind: 'ending', look: Look, values: Sight['values'] = {}): Sight => ({
    kind,
    station: id,
    detail: '',
    look,
    values,
    near: !projection?.onMains && isNearFloor(station),
  });
  if (projection === null || projection.why === 'stale') return [sees('ending', 'unknown')];
  // Outlets that are off as the battery ends: that was called, and what follows from it was said with it.
  const stopped = station.ending && station.outletsOnMs < DRAWS_WITHIN_MS;
  const quiet = projection.quiet.map(
    ({ name, powerW, sinceAt }): Sight => ({
      kind: 'quiet',
      station: id,
      detail: sinceAt,
      look: stopped ? 'unknown' : 'on',
      values: { name, powerW, sinceAt },
    }),
  );
  const { onMains, emptyAt, byLabel, floorPct } = projection;
  // At its floor the sentence says so; what was raised on the way there stands.
  if (projection.why === 'atFloor' && !onMains) return [sees('ending', 'unknown'), ...quiet];
  // Before anything was learned the label's own range is all there is.
  const atLeastAt = onMains ? null : ((emptyAt ?? byLabel)?.p10 ?? null);
  const by = emptyAt === null ? 'label' : 'record';
  const leftMin = atLeastAt === null ? Number.POSITIVE_INFINITY : (Date.parse(atLeastAt) - nowAt) / MINUTE_MS;
  return [sees('ending', against(leftMin, ALARMS.ending.deadband!), { floorPct, atLeastAt, by }), ...quiet];
}
