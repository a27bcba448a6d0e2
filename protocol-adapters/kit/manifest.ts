/**
 * Checks an adapter before it is used: a manifest written for another version of the contract, or one that asks for
 * more than the ceilings, is refused in words its author can act on.
 */
import { type Adapter, type AdapterManifest, API_VERSION, type TransportKind } from './adapter.ts';
import { bleFault, endpoints, plainBle } from './ble.ts';
import { isQuantityKey } from './quantities.ts';
import { type RequestPattern, requestsFault } from './requests.ts';

const TRANSPORTS: readonly unknown[] = ['serial', 'tcp', 'process', 'ble'] satisfies TransportKind[];
const MAX_FRAME_BYTES = 65_536;
const MAX_READINGS_PER_S = 50;
const DAY_MS = 86_400_000;

const isText = (value: unknown, max: number): boolean =>
  typeof value === 'string' && value.length > 0 && value.length <= max;
const isWhole = (value: unknown, min: number, max: number): boolean =>
  Number.isInteger(value) && (value as number) >= min && (value as number) <= max;
const isListOf = (value: unknown, allowed: (item: unknown) => boolean): boolean =>
  Array.isArray(value) && value.length > 0 && value.length <= 100 && value.every(allowed);

/** What is wrong with a manifest, or null. */
export function manifestFault(m: Record<string, unknown>): string | null {
  if (m.apiVersion !== API_VERSION) {
    return `it is written for version ${String(m.apiVersion)} of the adapter contract, this agent has ${API_VERSION}`;
  }
  if (typeof m.id !== 'string' || !/^[a-z0-9][a-z0-9-]{0,39}$/.test(m.id)) {
    return 'manifest.id takes lower-case letters, digits and dashes, 40 at most';
  }
  if (!isText(m.title, 80)) return 'manifest.title is missing';
  if (!isText(m.version, 40)) return 'manifest.version is missing';
  if (!isListOf(m.transports, t => TRANSPORTS.includes(t))) return 'manifest.transports names none or an unknown one';
  if (!isListOf(m.gives, q => typeof q === 'string' && isQuantityKey(q))) {
    return 'manifest.gives names no quantity or one that is not in the table';
  }
  if (!isWhole(m.intervalMs, 20, DAY_MS)) return `manifest.intervalMs must be whole, 20 to ${DAY_MS}`;
  if (m.onChangeOnly !== undefined && m.onChangeOnly !== true) return 'manifest.onChangeOnly is true or left out';
  if (!isWhole(m.maxFrameBytes, 1, MAX_FRAME_BYTES)) return `manifest.maxFrameBytes must be 1 to ${MAX_FRAME_BYTES}`;
  if (!isWhole(m.maxReadingsPerS, 1, MAX_READINGS_PER_S)) {
    return `manifest.maxReadingsPerS must be 1 to ${MAX_READINGS_PER_S}`;
  }
  if (m.partsHoldMs !== undefined && !isWhole(m.partsHoldMs, 20, DAY_MS)) {
    return `manifest.partsHoldMs must be whole, 20 to ${DAY_MS}, or left out`;
  }
  if (m.counterSteps !== undefined && !isWhole(m.counterSteps, 2, Number.MAX_SAFE_INTEGER)) {
    return 'manifest.counterSteps must be whole and 2 at least, or left out';
  }
  return wireFault(m);
}

/** What is wrong with what it needs of the wire, or null. */
function wireFault(m: Record<string, unknown>): string | null {
  const needsBle = (m.transports as unknown[]).includes('ble');
  if (!needsBle && m.ble !== undefined) return 'manifest.ble is told, and manifest.transports does not name ble';
  const fault = needsBle ? bleFault(m.ble) : null;
  if (fault !== null || m.requests === undefined) return fault;
  return requestsFault(m.requests, endpoints(m.ble as AdapterManifest['ble']));
}

/** The adapter, or in words why it is none. */
export function checkAdapter(candidate: unknown): Adapter | string {
  if (typeof candidate !== 'object' || candidate === null) return 'it has no default export that is an adapter';
  const { manifest, open } = candidate as Partial<Adapter>;
  if (typeof manifest !== 'object' || manifest === null) return 'it has no manifest';
  if (typeof open !== 'function') return 'it has no open function';
  return manifestFault({ ...manifest }) ?? (candidate as Adapter);
}

/** A copy of the manifest with only what the contract knows: what the agent keeps of an adapter. */
export function plainManifest(m: AdapterManifest): AdapterManifest {
  const { id, title, version, apiVersion, intervalMs, maxFrameBytes, maxReadingsPerS } = m;
  const rest = m.onChangeOnly === true ? { onChangeOnly: true as const } : {};
  const lists = { transports: [...m.transports], gives: [...m.gives] };
  const wire = {
    ...(m.partsHoldMs === undefined ? {} : { partsHoldMs: m.partsHoldMs }),
    ...(m.counterSteps === undefined ? {} : { counterSteps: m.counterSteps }),
    ...(m.ble === undefined ? {} : { ble: plainBle(m.ble) }),
    ...(m.requests === undefined ? {} : { requests: m.requests.map(plainRequest) }),
  };
  return { id, title, version, apiVersion, ...lists, intervalMs, ...rest, maxFrameBytes, maxReadingsPerS, ...wire };
}

const plainRequest = ({ name, bytes, to }: RequestPattern): RequestPattern => ({
  name,
  bytes,
  ...(to === undefined ? {} : { to }),
});
