/** What is said of an owner's adapters, and what the shelf needs to find it out. */
import type { AdapterManifest, Timers } from '#kit';
import type { Pin } from './pins.ts';

export type OwnState =
  | 'asks' // never approved
  | 'changed' // approved, and not the file that was
  | 'approved'
  | 'broken'; // it cannot be made into an adapter, or its id is another's

export interface OwnAdapter {
  /** Name in the folder. */
  readonly file: string;
  /** Of the file's bytes; '' where it cannot be read. */
  readonly sha256: string;
  readonly state: OwnState;
  /** Why it is broken; '' otherwise. */
  readonly says: string;
  /** From its manifest, or from the time it was approved. */
  readonly id: string | null;
  readonly manifest: AdapterManifest | null;
  /** The built file that its process may read; only where it is approved. */
  readonly place: string | null;
  /** What was approved under its id. */
  readonly approved: Pin | null;
}

export interface ShelfParts {
  /** The owner's folder; need not exist. */
  readonly folder: string;
  readonly dataDir: string;
  /** Root of the built program. */
  readonly dist: string;
  /** Ids that no file may take. */
  readonly builtInIds: readonly string[];
  readonly timers: Timers;
  /** The manifest of a built file, or in words why there is none. */
  readonly manifestOf: (place: string) => Promise<AdapterManifest | string>;
}

export interface Shelf {
  readonly folder: string;
  list(): readonly OwnAdapter[];
  /** Ids that were ever approved, whether their file is there or not. */
  pinned(): readonly string[];
  /** Whether what runs from a built file tells the manifest that was approved. */
  allows(place: string, manifest: AdapterManifest): boolean;
  /** Looks at the folder and the approvals again; whether anything differs from before. */
  look(): Promise<boolean>;
  /** Approves a file as it was shown; look again afterwards. */
  approve(file: string, sha256: string, nowMs: number): 'approved' | 'changed' | 'broken' | 'gone';
}
