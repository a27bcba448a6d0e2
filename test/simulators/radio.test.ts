import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it, onTestFinished } from 'vitest';
import { openBle } from '../../agent/transports/ble.ts';
import { bleBattery } from '../../protocol-adapters/ble-battery/index.ts';
import { AttributeServer } from '../../simulators/radio/attribute-server.ts';
import { attributeTable } from '../../simulators/radio/attributes.ts';
import { energyStatusValue, levelStatusValue, timeStatusValue } from '../../simulators/radio/battery.ts';
import { aclPackets, advertisingReport, connectionComplete, createReassembly } from '../../simulators/radio/packets.ts';
import { Peripheral } from '../../simulators/radio/peripheral.ts';
import { startChild } from '../support/child.ts';
import { openLogged } from '../support/link-log.ts';
import { withNoble } from '../support/needs-noble.ts';
import { stageHost } from '../support/radio-stage.ts';
import { until } from '../support/real-time.ts';

const hex = (text: string) => Buffer.from(text.replaceAll(' ', ''), 'hex');

/** A battery service with a level that is read and told. */
const table = () =>
  attributeTable([{ uuid: '180f', characteristics: [{ uuid: '2a19', can: ['read', 'notify'], value: hex('47') }] }]);

describe('the attribute server of the soft radio', () => {
  // Requests and answers worked by hand from the tables of the attribute protocol.
  it.each([
    ['exchanges sizes', '02 f700', '03 f700'],
    ['lists the service by its group', '10 0100 ffff 0028', '11 06 0100 0400 0f18'],
    ['lists the characteristic: read and notify, handle 3', '08 0100 0400 0328', '09 07 0200 12 0300 192a'],
    ['finds the configuration', '08 0300 0400 0229', '09 04 0400 0000'],
    ['lists what a handle is', '04 0400 0400', '05 01 0400 0229'],
    ['reads', '0a 0300', '0b 47'],
    ['takes a configuration', '12 0400 0100', '13'],
    ['ends a list with "not found"', '10 0500 ffff 0028', '01 10 0500 0a'],
    ['refuses a handle that is none', '0a 0900', '01 0a 0900 01'],
    ['refuses to write what is only read', '12 0300 01', '01 12 0300 03'],
    ['refuses what it does not know', '20 0300', '01 20 0000 06'],
  ])('%s', (_, request, answer) => {
    const server = new AttributeServer(table(), { faults: {}, written: () => undefined });
    expect(server.take(hex(request))?.toString('hex')).toBe(hex(answer).toString('hex'));
  });

  it('says nothing to a blind write or a confirmation, or where it is told to be silent', () => {
    const server = new AttributeServer(table(), { faults: {}, written: () => undefined });
    expect(server.take(hex('52 0400 0100'))).toBeNull();
    expect(server.take(hex('1e'))).toBeNull();
    const silent = new AttributeServer(table(), { faults: { silent: 'reads' }, written: () => undefined });
    expect(silent.take(hex('0a 0300'))).toBeNull();
    expect(silent.take(hex('12 0400 0100'))).not.toBeNull();
  });

  it('puts a long write together', () => {
    const written: string[] = [];
    const plan = [{ uuid: '180f', characteristics: [{ uuid: '2a00', can: ['write' as const] }] }];
    const server = new AttributeServer(attributeTable(plan), {
      faults: {},
      written: (_, value) => written.push(value.toString()),
    });
    server.take(Buffer.concat([hex('16 0300 0000'), Buffer.from('honey ')]));
    server.take(Buffer.concat([hex('16 0300 0600'), Buffer.from('shed')]));
    expect(server.take(hex('18 01'))).toEqual(hex('19'));
    expect(written).toEqual(['honey shed']);
  });
});

describe('packets of the soft controller', () => {
  it('carry a message in fragments that make the same message again', () => {
    const message = Buffer.from('a message longer than one fragment of twenty-seven bytes');
    const packets = [...aclPackets(0x40, 4, message, 27)];
    expect(packets.map(packet => packet.readUInt16LE(1) >> 12)).toEqual([2, 1, 1]);
    let whole = '';
    const take = createReassembly((cid, told) => {
      whole = `${cid} ${told}`;
    });
    for (const packet of packets) take(packet);
    expect(whole).toBe(`4 ${message}`);
  });

  it('tell a connection and an advertisement as the specification lays them out', () => {
    expect(connectionComplete(0, 0x40, 'c0:00:00:00:00:01').toString('hex')).toBe(
      hex('04 3e 13 01 00 4000 00 00 0100000000c0 1800 0000 9001 00').toString('hex'),
    );
    expect(advertisingReport(0, 'c0:00:00:00:00:01', hex('020106'), -60).toString('hex')).toBe(
      hex('04 3e 0f 02 01 00 00 0100000000c0 03 020106 c4').toString('hex'),
    );
  });
});

describe('a peripheral', () => {
  it('advertises its services, and its name in the scan response', () => {
    const shed = new Peripheral({
      address: 'c0:00:00:00:00:01',
      name: 'Shed',
      services: [{ uuid: '180f', characteristics: [] }],
    });
    const { body, response } = shed.advertisement();
    expect(body.toString('hex')).toBe(hex('020106 03 03 0f18').toString('hex'));
    expect(response.toString('hex')).toBe(`0509${Buffer.from('Shed').toString('hex')}`);
  });

  it('tells nobody who did not ask, and forgets who asked with the connection', () => {
    const sent: string[] = [];
    const holder = {
      handle: 1,
      send: (m: Buffer) => sent.push(m.toString('hex')),
      sendRaw: () => undefined,
      lost: () => undefined,
    };
    const shed = new Peripheral({
      address: 'c0:00:00:00:00:01',
      services: [{ uuid: '180f', characteristics: [{ uuid: '2a19', can: ['read', 'notify'] }] }],
    });
    shed.hold(holder);
    expect(shed.tell('2a19', hex('47'))).toBe(false);
    shed.take(hex('12 0400 0100'));
    expect(shed.tell('2a19', hex('48'))).toBe(true);
    expect(sent).toEqual(['13', '1b030048']);
    shed.letGo();
    shed.hold(holder);
    expect(shed.tell('2a19', hex('49'))).toBe(false);
  });
});

describe('values of the battery service', () => {
  it('are as worked by hand', () => {
    // Charging: bit 0 present, bits 5 and 6 hold 1; the level follows.
    expect(levelStatusValue({ charge: 'charging', levelPct: 71 }).toString('hex')).toBe('02210047');
    // 24 bits each; unknown is all ones.
    expect(timeStatusValue(120, null).toString('hex')).toBe('02780000ffffff');
    // Flags 01 and 10; 20 W with the most digits is 2000 × 10⁻², −20 W the same with a negative mantissa.
    expect(energyStatusValue({ externalSourceW: 20, chargeRateW: -20 }).toString('hex')).toBe('11d0e730e8');
  });
});

describe('the simulated shed on a soft radio', () => {
  withNoble('shows what its plant shows, in a process of its own', async () => {
    const dir = mkdtempSync(join(tmpdir(), 'air-'));
    onTestFinished(() => rmSync(dir, { recursive: true, force: true }));
    const socket = join(dir, 'air');
    const shed = startChild('simulators/run.ts', [
      '--radio',
      socket,
      '--at',
      '2026-06-03T11:00:00Z',
      '--zone',
      'UTC',
      '--interval-ms',
      '100',
    ]);
    expect(JSON.parse((await shed.line())!)).toEqual({ ready: { radio: socket, name: 'Honey shed' } });
    const { host } = stageHost({ radio: socket });
    let level: number | undefined;
    const log = openLogged(openBle({ target: { name: 'Honey shed' }, radio: host }), (bytes, from) => {
      if (from === 'level') level = bytes[0];
    });
    await log.untilOpen();
    log.link.use!(bleBattery.manifest.ble!);
    await until(() => level !== undefined);
    shed.process.stdin!.write('now\n');
    const { quantities } = JSON.parse((await shed.line())!) as { quantities: { stateOfChargePct: number } };
    expect(Math.abs(level! - quantities.stateOfChargePct)).toBeLessThanOrEqual(1);
    shed.process.stdin!.write('unplug\n');
    expect((await log.untilEnd()).failure).toBe('unplugged');
  });
});
