/** Puts a snapshot in the place of a record; says when it begins. Arguments: folder, file. */
import { writeSync } from 'node:fs';
import { restoreSnapshot } from '../../../agent/store/keep/restore.ts';

writeSync(1, 'begins\n');
restoreSnapshot(process.argv[2]!, process.argv[3]!, { atMs: Date.now(), program: '0.1.0' });
