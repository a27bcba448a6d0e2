/** What the page is told of adapters that the owner wrote, and how one is approved. */
import * as v from 'valibot';

const maybe = <S extends v.GenericSchema>(schema: S) => v.nullable(schema);

export const OwnAdapter = v.object({
  /** Name in the owner's folder. */
  file: v.string(),
  /** SHA-256 of the file's bytes in hex; empty where it cannot be read. */
  sha256: v.string(),
  /** `asks`: never approved. `changed`: approved once, as another file. `broken`: cannot be used, `says` why. */
  state: v.picklist(['asks', 'changed', 'approved', 'broken']),
  says: v.string(),
  id: maybe(v.string()),
  title: maybe(v.string()),
  version: maybe(v.string()),
  transports: v.array(v.string()),
  gives: v.array(v.string()),
  /** All that it may ever send; bytes as pairs of hex digits, `..` for any byte. */
  requests: v.array(v.object({ name: v.string(), bytes: v.string(), to: maybe(v.string()) })),
  /** Bluetooth characteristics it uses. */
  characteristics: v.array(
    v.object({ name: v.string(), service: v.string(), uuid: v.string(), use: v.array(v.string()) }),
  ),
  /** What was approved under its id. */
  approved: maybe(v.object({ version: v.string(), sha256: v.string(), approvedAt: v.string() })),
});

export const OwnAdaptersAnswer = v.object({
  folder: v.string(),
  /** How well they are contained on this computer. */
  containment: v.object({
    level: v.picklist([1, 2]),
    networkOpen: v.boolean(),
    hindrance: v.picklist(['none', 'missing', 'forbidden', 'system']),
  }),
  adapters: v.array(OwnAdapter),
});

/** Approves exactly the file that was shown. */
export const OwnAdapterApproval = v.strictObject({
  file: v.pipe(v.string(), v.minLength(1), v.maxLength(255)),
  sha256: v.pipe(v.string(), v.regex(/^[0-9a-f]{64}$/, '64 hex digits')),
});

export type OwnAdapter = v.InferOutput<typeof OwnAdapter>;
export type OwnAdaptersAnswer = v.InferOutput<typeof OwnAdaptersAnswer>;
export type OwnAdapterApproval = v.InferOutput<typeof OwnAdapterApproval>;
