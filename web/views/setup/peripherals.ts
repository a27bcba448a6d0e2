/** From what a search heard to what is shown of it and written into the settings. Pure. */
import type { ScanAnswer } from '#messages';

export type Heard = ScanAnswer['peripherals'][number];

const NEAR_DBM = -60;
const FAR_DBM = -85;

/** Common practice, no source. */
export const bound = (rssiDbm: number): 'near' | 'fair' | 'far' =>
  rssiDbm >= NEAR_DBM ? 'near' : rssiDbm < FAR_DBM ? 'far' : 'fair';

/** Six octets with colons; what is none (macOS) as it is. */
export const addressOf = (id: string): string =>
  /^[0-9a-f]{12}$/i.test(id) ? (id.match(/../g) ?? []).join(':').toUpperCase() : id;

export interface Chosen {
  readonly transport: { readonly kind: 'ble'; readonly name?: string; readonly address?: string };
  /** The adapter it looks made for, where there is one. */
  readonly adapter: string | null;
  readonly name: string | null;
}

/** A name that only one has tells it apart for good; otherwise its address does. */
export function chosen(peripheral: Heard, all: readonly Heard[]): Chosen {
  const { name, id, adapters } = peripheral;
  const isOnlyOne = name !== null && all.filter(other => other.name === name).length === 1;
  return {
    transport: isOnlyOne ? { kind: 'ble', name } : { kind: 'ble', address: addressOf(id) },
    adapter: adapters[0] ?? null,
    name,
  };
}
