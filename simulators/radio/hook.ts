/**
 * Puts the HCI socket of a process's Bluetooth library on the soft radio: `node --import ".../hook.js?radio=PATH" …`.
 * Only launchers of tests and of the simulator use it. Instead of a radio the address may name what is lacking:
 * `?lack=kernel|adapter|permission|power`, each as the real socket tells it.
 */
import Module from 'node:module';
import { type Lack, lacking, softHciSocket } from './host-socket.ts';

const REPLACED = '@abandonware/bluetooth-hci-socket';

const { searchParams } = new URL(import.meta.url);
const lack = searchParams.get('lack') as Lack | null;
const socketClass = lack === null ? softHciSocket(searchParams.get('radio') ?? '') : lacking(lack);

/** Not in the types of Node: every `require` of a process goes through it. */
interface Loading {
  _load(request: string, parent: unknown, isMain: boolean): unknown;
}

const loading = Module as unknown as Loading;
const load = loading._load;
loading._load = function (request, parent, isMain) {
  if (request !== REPLACED) return load.call(this, request, parent, isMain);
  if (lack === 'kernel') {
    throw Object.assign(new Error('Address family not supported by protocol'), { code: 'EAFNOSUPPORT' });
  }
  return socketClass;
};
