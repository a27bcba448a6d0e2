/** `wattkeep adapter new NAME`: a complete adapter to change, put into the owner's folder. */
import { existsSync, mkdirSync, writeFileSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import { scaffold } from '../own-adapters/index.ts';
import { parseArguments } from '../settings/index.ts';
import { folderOf } from './adapter-place.ts';
import { ADAPTER_NEW_HELP, begun } from './adapter-words.ts';
import type { Invocation } from './invocation.ts';
import { usage } from './numbers.ts';

const TRANSPORTS = ['serial', 'tcp', 'process', 'ble'] as const;

/** So that an editor knows the kit's types there; one that is there is left as it is. */
function typesFor(folder: string, dist: string): void {
  const file = join(folder, 'tsconfig.json');
  if (existsSync(file)) return;
  const kit = join(dist, 'protocol-adapters', 'kit', 'index.d.ts');
  const plain = { target: 'ES2023', module: 'NodeNext', lib: ['ES2023'], types: [], strict: true, noEmit: true };
  const compilerOptions = { ...plain, skipLibCheck: true, paths: { 'wattkeep/kit': [kit] } };
  writeFileSync(file, `${JSON.stringify({ compilerOptions, include: ['*.ts', '*.js'] }, null, 2)}\n`);
}

export async function adapterNew({ argv, dist }: Invocation): Promise<number> {
  const { values, switches, words } = parseArguments(argv, {
    values: ['transport', 'out', 'settings'],
    switches: ['json', 'help'],
  });
  if (switches.has('help')) {
    process.stdout.write(ADAPTER_NEW_HELP);
    return 0;
  }
  const [name, ...others] = words;
  if (name === undefined || others.length > 0 || !/^[a-z0-9][a-z0-9-]{0,39}$/.test(name))
    throw usage('adapter new takes one name of lower-case letters, digits and dashes.', 'Such as: adapter new bee-box');
  const asked = values.get('transport')?.[0] ?? 'serial';
  const transport = TRANSPORTS.find(known => known === asked);
  if (transport === undefined) throw usage(`--transport is ${asked}.`, `Give one of ${TRANSPORTS.join(', ')}.`);
  const file = resolve(values.get('out')?.[0] ?? join(folderOf(values.get('settings')?.[0]), `${name}.ts`));
  if (existsSync(file)) throw usage(`${file} is there already. Nothing was changed.`, 'Choose another name.');
  mkdirSync(dirname(file), { recursive: true });
  writeFileSync(file, scaffold(name, transport), { flag: 'wx' });
  typesFor(dirname(file), dist);
  process.stdout.write(switches.has('json') ? `${JSON.stringify({ file })}\n` : begun(file, name));
  return 0;
}
