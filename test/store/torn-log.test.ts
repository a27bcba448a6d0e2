import { test } from 'vitest';
import { tearLogs } from '../support/torn-logs.ts';

test(
  'whatever a power cut leaves of the write-ahead log, the record opens to whole commits with their totals',
  () => tearLogs(24),
  60_000,
);
