/**
 * The floor of the radio's latency: the Bluetooth library to a WebSocket with nothing in between. Arguments: the name of
 * a peripheral, and `one`; or `same` for as many processes as the agent has on that road (one with the library, one that
 * parses); `radio` is the first of those. Started with the hook of the soft radio.
 */
import { spawn } from 'node:child_process';
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { createInterface } from 'node:readline';
import { fileURLToPath } from 'node:url';
import { WebSocketServer } from 'ws';

interface Characteristic {
  uuid: string;
  on(event: 'data', hear: (bytes: Buffer) => void): void;
  subscribeAsync(): Promise<void>;
}
interface Peripheral {
  advertisement: { localName?: string };
  connectAsync(): Promise<void>;
  discoverAllServicesAndCharacteristicsAsync(): Promise<{ characteristics: Characteristic[] }>;
}
interface Library {
  on(event: 'stateChange', hear: (state: string) => void): void;
  on(event: 'discover', hear: (peripheral: Peripheral) => void): void;
  startScanning(only: string[], duplicates: boolean): void;
  stopScanningAsync(): Promise<void>;
}

const [name = '', hops = 'one'] = process.argv.slice(2);
const ENERGY_STATUS = '2bf0';

async function listen(tell: (value: Buffer) => void): Promise<void> {
  const { default: library } = (await import('@abandonware/noble' as string)) as { default: Library };
  let found = false;
  library.on('stateChange', state => {
    if (state === 'poweredOn') library.startScanning([], true);
  });
  library.on('discover', peripheral => {
    if (found || peripheral.advertisement.localName !== name) return;
    found = true;
    void (async () => {
      await library.stopScanningAsync();
      await peripheral.connectAsync();
      const { characteristics } = await peripheral.discoverAllServicesAndCharacteristicsAsync();
      const status = characteristics.find(characteristic => characteristic.uuid === ENERGY_STATUS)!;
      status.on('data', tell);
      await status.subscribeAsync();
    })();
  });
}

/** A medical float of 16 bits, without its special values. */
const watts = (low: number, high: number): number => {
  const mantissa = low | ((high & 0xf) << 8);
  const exponent = high >> 4;
  return (mantissa >= 2048 ? mantissa - 4096 : mantissa) * 10 ** (exponent >= 8 ? exponent - 16 : exponent);
};
const lineOf = (value: Buffer): string => {
  const inputPowerW = watts(value[1]!, value[2]!);
  return JSON.stringify({ inputPowerW, outputPowerW: Math.round(inputPowerW - watts(value[3]!, value[4]!)) });
};

async function serve(): Promise<void> {
  const http = createServer((_request, response) => response.end('bare'));
  const sockets = new WebSocketServer({ server: http, perMessageDeflate: false });
  const tell = (line: string) => {
    for (const socket of sockets.clients) socket.send(line);
  };
  if (hops === 'one') await listen(value => tell(lineOf(value)));
  else {
    const radio = spawn(process.execPath, [...process.execArgv, fileURLToPath(import.meta.url), name, 'radio'], {
      stdio: ['pipe', 'pipe', 'inherit'],
    });
    const parser = spawn(process.execPath, [fileURLToPath(new URL('bare-parser.js', import.meta.url))], {
      stdio: ['pipe', 'pipe', 'inherit'],
    });
    createInterface(radio.stdout).on('line', line => parser.stdin.write(`${line}\n`));
    createInterface(parser.stdout).on('line', line => tell(JSON.stringify(JSON.parse(line))));
    radio.once('close', () => process.exit());
  }
  http.listen(0, '127.0.0.1', () => console.log(`http://127.0.0.1:${(http.address() as AddressInfo).port}/`));
}

if (hops === 'radio') {
  // The end of its starter is its own.
  process.stdin.once('end', () => process.exit()).resume();
  await listen(value => process.stdout.write(`${lineOf(value)}\n`));
} else await serve();
