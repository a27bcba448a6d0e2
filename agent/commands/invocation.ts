/** What a verb is given. */
export interface Invocation {
  /** Without the program and the verb. */
  argv: readonly string[];
  /** Root of the built program. */
  dist: string;
  version: string;
}

/** Resolves with the exit status; throws WattkeepError for what the owner can mend. */
export type Verb = (invocation: Invocation) => Promise<number>;
