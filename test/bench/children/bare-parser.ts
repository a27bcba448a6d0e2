/** The second process of the floor: lines of JSON in, the same lines parsed and printed again. Ends with its input. */
import { createInterface } from 'node:readline';

createInterface(process.stdin).on('line', line => process.stdout.write(`${JSON.stringify(JSON.parse(line))}\n`));
