/** A season in a process of its own, so that its memory is its own. Argument: the options, as JSON. */
import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import { liveSeason } from './season.ts';

setFlagsFromString('--expose-gc');
globalThis.gc = runInNewContext('gc');
const lived = await liveSeason({
  ...JSON.parse(process.argv[2]!),
  onCheckpoint: seen => process.stdout.write(`${JSON.stringify({ seen })}\n`),
});
process.stdout.write(`${JSON.stringify({ lived })}\n`);
