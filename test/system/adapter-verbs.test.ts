/** The verbs of the workbench as an owner types them: what they say, what they refuse, what they leave behind. */
import { spawnSync } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { type AddressInfo, createServer, type Server } from 'node:net';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { parseCapture } from '#kit';
import { ROOT } from '../house/rooms.ts';
import { ownAdapter } from '../support/own-shelf.ts';
import { type Workbench, workbench } from '../support/workbench.ts';

let bench: Workbench;
let server: Server | null = null;
beforeEach(() => {
  bench = workbench();
});
afterEach(() => {
  server?.close();
  server = null;
  bench.remove();
});

const fileOf = (name: string) => join(bench.adapters, name);

describe('adapter new', () => {
  it.each(['serial', 'ble'])(
    'begins one for %s that compiles with the kit’s types and passes its check',
    async transport => {
      const { out } = await bench.sh(`wattkeep adapter new bee-box --transport ${transport} --json`);
      expect(JSON.parse(out)).toEqual({ file: fileOf('bee-box.ts') });
      const tsc = join(ROOT, 'node_modules/typescript/bin/tsc');
      const compiled = spawnSync(process.execPath, [tsc, '-p', bench.adapters], { encoding: 'utf8' });
      expect([compiled.status, compiled.stdout]).toEqual([0, '']);
      const checked = await bench.sh('wattkeep adapter check bee-box');
      expect([checked.status, checked.out]).toEqual([
        0,
        expect.stringMatching(/ok {4}samples +1 as their author says/),
      ]);
    },
  );

  it('writes over nothing, and takes only names that can be ids', async () => {
    await bench.sh('wattkeep adapter new bee-box');
    writeFileSync(fileOf('bee-box.ts'), 'mine');
    expect(await bench.sh('wattkeep adapter new bee-box')).toMatchObject({
      status: 2,
      complaint: expect.stringMatching(/is there already\. Nothing was changed/),
    });
    expect(readFileSync(fileOf('bee-box.ts'), 'utf8')).toBe('mine');
    for (const wrong of ['', 'Bee', '../bee', 'a b', 'bee --transport radio', 'bee two'])
      expect(await bench.sh(`wattkeep adapter new ${wrong}`)).toMatchObject({ status: 2 });
  });
});

describe('adapter list and approve', () => {
  it('tell what each may send and its hash, and approve by name; doctor counts what is not', {
    timeout: 180_000,
  }, async () => {
    await bench.sh('wattkeep adapter new first');
    writeFileSync(
      fileOf('asks.ts'),
      ownAdapter('asks', { more: `requests: [{ name: 'level?', bytes: '01 03 ..' }],` }),
    );
    writeFileSync(fileOf('bad.ts'), 'export default 5');
    const listed = await bench.sh('wattkeep adapter list');
    expect(listed.out).toMatch(
      /asks: Bee box, version 1 \(asks\.ts\): not approved: it does not run\n {2}SHA-256 +[0-9a-f]{64}/,
    );
    expect(listed.out).toMatch(/may send +level\?: 01 03 \.\./);
    expect(listed.out).toMatch(/bad\.ts: cannot be used\n {2}bad\.ts: it has no default export/);
    const { adapters } = JSON.parse((await bench.sh('wattkeep adapter list --json')).out) as {
      adapters: { id: string; sha256: string }[];
    };
    const { sha256 } = adapters.find(({ id }) => id === 'asks')!;

    const wrong = `wattkeep adapter approve asks --sha256 ${'0'.repeat(64)}`;
    expect(await bench.sh(wrong)).toMatchObject({ status: 2, complaint: expect.stringContaining(sha256) });
    expect(await bench.sh('wattkeep adapter approve bad.ts')).toMatchObject({ status: 2 });
    expect(await bench.sh('wattkeep adapter approve nobody')).toMatchObject({ status: 2 });
    expect(await bench.sh(`wattkeep adapter approve asks --sha256 ${sha256}`)).toMatchObject({
      status: 0,
      out: expect.stringContaining('A station uses it with: adapter = "asks"'),
    });
    const doctor = await bench.sh('wattkeep doctor || true');
    expect(doctor.out).toMatch(/adapters .*: 3; not approved as they are: bad\.ts, first\.ts\./);
    expect(doctor.out).toMatch(/containment +Adapters (of your own run in a space|on this computer|.*seat belt)/);
  });

  it('an unknown verb is told with the nearest one', async () => {
    expect(await bench.sh('wattkeep adapter lost')).toMatchObject({
      status: 2,
      complaint: expect.stringMatching(/Did you mean list\? Known: new, capture/),
    });
  });
});

/** A station on TCP that answers `01 03 xx` with the percent and a line end; it keeps silent otherwise. */
async function station(): Promise<number> {
  server = createServer(socket => {
    socket.on('error', () => undefined);
    socket.on('data', ask => {
      if (ask[0] === 1 && ask[1] === 3) socket.write(Buffer.from([42, 10]));
    });
  });
  server.listen(0, '127.0.0.1');
  await once(server, 'listening');
  return (server.address() as AddressInfo).port;
}

/** Asks it every half second. */
const ASKING = ownAdapter('asks', { more: `requests: [{ name: 'level?', bytes: '01 03 ..' }],` })
  .replace(`['process', 'serial']`, `['tcp']`)
  .replace('intervalMs: 1000', 'intervalMs: 500')
  .replace(
    'decode: frame =>',
    `*talk() {
      for (;;) {
        const answer = yield { step: 'ask', send: Uint8Array.of(1, 3, 200), accepts: () => true, withinMs: 300 };
        if ('frame' in answer) yield { step: 'give', answer: this.decode(answer.frame) };
        yield { step: 'rest' };
      }
    },
    decode: (frame: Uint8Array) =>`,
  );

describe('adapter capture', () => {
  const captured = (name: string) => {
    const capture = parseCapture(name, readFileSync(join(bench.dir, name), 'utf8'));
    if ('fault' in capture) throw new Error(capture.fault);
    return capture;
  };

  it('records both ways with what an adapter asks; played, it gives the same readings', {
    timeout: 180_000,
  }, async () => {
    const port = await station();
    await bench.sh('wattkeep adapter new asks');
    writeFileSync(fileOf('asks.ts'), ASKING);
    const link = `--transport tcp --host 127.0.0.1 --port ${port}`;
    const { out } = await bench.sh(`wattkeep adapter capture ${link} --adapter asks --seconds 2.5 --out asked --json`);
    expect(JSON.parse(out)).toMatchObject({ out: 'asked', ended: null });
    const { chunks, head } = captured('asked');
    expect(head.transport).toBe('tcp');
    expect(chunks.slice(0, 2).map(({ way, bytes }) => [way, ...bytes])).toEqual([
      ['out', 1, 3, 200],
      ['in', 42, 10],
    ]);
    const played = JSON.parse((await bench.sh('wattkeep adapter play asked --adapter asks --json')).out) as {
      readings: number;
      unheard: number;
    };
    expect(played).toMatchObject({ readings: chunks.filter(({ way }) => way === 'in').length, unheard: 0 });
    const report = await bench.sh('wattkeep adapter check asks --capture asked');
    expect([report.status, report.out]).toEqual([0, expect.stringContaining('checks passed')]);
  });

  it('asks what the owner gives by hand, in turn', async () => {
    const port = await station();
    writeFileSync(
      bench.settings,
      `[[station]]\nid = "hive"\nname = "Hive"\ntransport = { kind = "tcp", host = "127.0.0.1", port = ${port} }\n`,
    );
    const ask = '--send "01 03 07" --send ff --every 0.2 --seconds 1.2 --out asked --quiet';
    expect((await bench.sh(`wattkeep adapter capture --station hive ${ask}`)).status).toBe(0);
    const sent = captured('asked').chunks.filter(({ way }) => way === 'out');
    expect(sent.slice(0, 3).map(({ bytes }) => [...bytes])).toEqual([[1, 3, 7], [255], [1, 3, 7]]);
    expect(captured('asked').chunks.some(({ way }) => way === 'in')).toBe(true);
  });

  it('ends with its link and says why; it writes over nothing and refuses what it cannot understand', {
    timeout: 180_000,
  }, async () => {
    const printer = `wattkeep adapter capture --transport process --out printed -- sh -c 'printf abc; exit 3'`;
    expect(await bench.sh(printer)).toMatchObject({
      status: 0,
      out: expect.stringMatching(/The link ended: sh exited with code 3/),
    });
    expect([...captured('printed').chunks[0]!.bytes]).toEqual([97, 98, 99]);
    expect((await bench.sh(printer)).complaint).toMatch(/printed is there already/);
    for (const wrong of [
      '',
      '--out x',
      '--transport serial --out x',
      '--transport tcp --host h --port 99999999 --out x',
      '--transport process --out x',
      '--transport ble --out x',
      '--transport tcp --host h --port 1 --out x --send 0',
      '--transport tcp --host h --port 1 --out x --send 00 --adapter lines',
      '--station nobody --out x',
    ])
      expect([wrong, (await bench.sh(`wattkeep adapter capture ${wrong}`)).status]).toEqual([wrong, 2]);
    expect(existsSync(join(bench.dir, 'x'))).toBe(false);
  });
});

describe('adapter play', () => {
  it('shows frame, fields, reading and each cause; a frame at each line of standard input with --step', async () => {
    await bench.sh('wattkeep adapter new bee-box');
    const lines = ['aa5506517800630132', 'aa5506517800630133', 'aa550651ffff6301b8'];
    const chunks = lines.map((hex, i) => JSON.stringify([i * 1000, 'in', '', hex]));
    writeFileSync(
      join(bench.dir, 'c'),
      `${['{"capture":1,"transport":"serial","begunAt":""}', ...chunks].join('\n')}\n`,
    );
    const { out } = await bench.sh('yes "" | wattkeep adapter play c --adapter bee-box --step');
    expect(out).toMatch(/0 {2}frame +aa 55 06 51 78 00 63 01 32\n +0 {2}fields +byte 3 +stateOfChargePct 81\n/);
    expect(out).toMatch(/byte 6 +outputPowerW 355 → 35\.5\n/);
    expect(out).toMatch(/1000 {2}no frame: checksum\n/);
    expect(out).toMatch(/2000 {2}reading +uncertain: stateOfChargePct 81, inputPowerW null/);
    expect(out).toMatch(/2 readings, \d rejected\.\n$/);
  });

  it('names what is no capture, no adapter, or one that ends it', { timeout: 180_000 }, async () => {
    writeFileSync(join(bench.dir, 'c'), 'nothing');
    expect((await bench.sh('wattkeep adapter play c')).complaint).toMatch(/c is no capture of version 1/);
    expect((await bench.sh('wattkeep adapter play gone')).complaint).toMatch(/There is no capture gone/);
    writeFileSync(join(bench.dir, 'c'), '{"capture":1,"transport":"serial","begunAt":""}\n[0,"in","","0a"]\n');
    expect((await bench.sh('wattkeep adapter play c --adapter nobody')).complaint).toMatch(
      /no adapter of wattkeep is called nobody/,
    );
    writeFileSync(join(bench.dir, 'bad.ts'), `import 'node:fs';`);
    expect((await bench.sh('wattkeep adapter play c --adapter bad.ts')).complaint).toMatch(
      /"node:fs" cannot be imported/,
    );
    writeFileSync(
      join(bench.dir, 'ends.js'),
      ownAdapter()
        .replace('import { type Adapter, API', 'import { API')
        .replace(': Adapter =', ' =')
        .replace('open: () => ({', 'open: () => process.exit(4) ?? ({'),
    );
    expect(await bench.sh('wattkeep adapter play c --adapter ends.js')).toMatchObject({
      status: 1,
      complaint: expect.stringMatching(/it exited with 4/),
    });
  });
});
