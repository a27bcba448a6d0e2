/** How large a file of readings will be, told before it is made. */
import * as v from 'valibot';

const count = v.pipe(v.number(), v.integer(), v.minValue(0));

export const RecordingSize = v.object({
  /** Single readings. */
  readings: count,
  /** Means of minutes of which no single readings are left. */
  minutes: count,
  /** As CSV, roughly: from the length of its newest rows. */
  csvBytes: count,
});
export type RecordingSize = v.InferOutput<typeof RecordingSize>;
