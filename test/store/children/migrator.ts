/** Brings a record's schema up and dies by SIGKILL just before statement N. Arguments: path of the database, N. */

import { migrate } from '../../../agent/store/connection.ts';
import { openDatabase } from '../../../agent/store/kept.ts';
import { MIGRATIONS } from '../../../agent/store/migrations/index.ts';

const [path, last] = [process.argv[2]!, Number(process.argv[3])];
let ran = 0;
const db = openDatabase(path, {
  verbose: () => {
    if (++ran === last) process.kill(process.pid, 'SIGKILL');
  },
});
db.pragma('journal_mode = WAL');
db.pragma('synchronous = FULL');
migrate(db, MIGRATIONS);
db.close();
process.stdout.write(`${ran}\n`);
