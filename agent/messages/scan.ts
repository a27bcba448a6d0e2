/** A search for Bluetooth LE peripherals, as Setup asks for one. */
import * as v from 'valibot';

export const ScanRequest = v.strictObject({
  /** How long it listens, s. */
  forS: v.optional(v.pipe(v.number(), v.minValue(1), v.maxValue(20)), 5),
});

export const ScanAnswer = v.object({
  /** The strongest first. */
  peripherals: v.array(
    v.object({
      /** Its address without colons; on macOS an id of that computer's own. */
      id: v.string(),
      name: v.nullable(v.string()),
      /** UUIDs of 4 or 32 hex digits. */
      services: v.array(v.string()),
      rssiDbm: v.number(),
      /** False: another client may hold it. */
      connectable: v.boolean(),
      /** Ids of the adapters that it looks made for. */
      adapters: v.array(v.string()),
    }),
  ),
  /** Why there is no Bluetooth, and what helps; null where there is. */
  trouble: v.nullable(v.string()),
});

export type ScanRequest = v.InferOutput<typeof ScanRequest>;
export type ScanAnswer = v.InferOutput<typeof ScanAnswer>;
