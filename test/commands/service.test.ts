/** The service's file: what it says, whom it is from, and that it holds any path. systemd's own tools judge it. */
import { spawnSync } from 'node:child_process';
import { copyFileSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import * as v from 'valibot';
import { describe, expect, it, onTestFinished } from 'vitest';
import { Settings } from '#messages';
import { readsByBluetooth } from '../../agent/commands/service/bluetooth.ts';
import { PLIST_REMARK, plistText, programOf } from '../../agent/commands/service/launchd.ts';
import { NODE_ARGUMENTS, servicePlace } from '../../agent/commands/service/place.ts';
import { sealOf } from '../../agent/commands/service/seal.ts';
import { commandOf, isOpenForBluetooth, UNIT_REMARK, unitText } from '../../agent/commands/service/systemd.ts';
import { ROOT } from '../house/rooms.ts';
import { needs } from '../support/needs.ts';

const COMMAND = ['/usr/bin/node', '/opt/wattkeep/main.js', '--data', '/home/mira/honey shed/50% "new" $HOME \\ data'];
const shut = () => unitText({ command: COMMAND, bluetooth: false });
const open = () => unitText({ command: COMMAND, bluetooth: true });
const settingsOf = (unit: string) => unit.split('\n').filter(line => /^[A-Z]\w+=/.test(line));

describe('the unit for systemd', () => {
  it('is fed by the program, comes back after every failure, and gives up never', () => {
    expect(settingsOf(shut())).toEqual(
      expect.arrayContaining([
        'Type=notify',
        'NotifyAccess=all',
        'WatchdogSec=30',
        'Restart=on-failure',
        'RestartSec=5',
        'StartLimitIntervalSec=0',
        'WantedBy=default.target',
      ]),
    );
  });

  it('gives no new privileges, and leaves what the program needs', () => {
    const lines = settingsOf(shut());
    expect(lines).toContain('NoNewPrivileges=yes');
    expect(lines).toContain('Environment=MALLOC_TRIM_THRESHOLD_=65536 MALLOC_MMAP_THRESHOLD_=65536');
    expect(lines).toContain('RestrictAddressFamilies=AF_UNIX AF_INET AF_INET6 AF_NETLINK');
    expect(lines.filter(line => /^(RestrictNamespaces|MemoryDenyWriteExecute|PrivateDevices)=/.test(line))).toEqual([]);
  });

  it('leaves the right of Node to Bluetooth where it is used: no setting that would take it', () => {
    const taking =
      /^(NoNewPrivileges|SystemCall\w+|Restrict\w+|LockPersonality|Private\w+|Protect\w+|DynamicUser|MemoryDeny\w+)=/;
    expect(settingsOf(open()).filter(line => taking.test(line) && line !== 'RestartSec=5')).toEqual([]);
    expect(isOpenForBluetooth(open())).toBe(true);
    expect(isOpenForBluetooth(shut())).toBe(false);
  });

  it('holds any path, and refuses a control character', () => {
    expect(commandOf(shut())).toEqual(COMMAND);
    expect(() => unitText({ command: ['/a\nExecStartPre=/b'], bluetooth: false })).toThrowError(
      expect.objectContaining({ code: 'USAGE' }),
    );
  });

  needs('systemd-analyze', 'systemd')('starts a Node in a folder of any name, as systemd reads it', () => {
    const dir = mkdtempSync(join(tmpdir(), 'unit $x 5% ü '));
    onTestFinished(() => rmSync(dir, { recursive: true, force: true }));
    const command = [join(dir, 'node'), '/opt/$HOME/main.js'];
    copyFileSync('/bin/true', command[0]!);
    const unit = join(dir, 'wattkeep.service');
    mkdirSync(join(dir, 'run'), { mode: 0o700 });
    writeFileSync(unit, unitText({ command, bluetooth: false }));
    const env = { PATH: process.env.PATH, HOME: dir, XDG_RUNTIME_DIR: join(dir, 'run') };
    const { stderr } = spawnSync('systemd-analyze', ['--user', 'verify', unit], { env, encoding: 'utf8' });
    expect(stderr).toBe('');
    expect(commandOf(unitText({ command, bluetooth: false }))).toEqual(command);
    for (const name of ['a"b', "a'b", 'a\\b'])
      expect(() => unitText({ command: [`/${name}/node`], bluetooth: false })).toThrowError(
        expect.objectContaining({ code: 'USAGE', message: expect.stringContaining(name) }),
      );
  });

  it('is known as its own, as changed, or as somebody else’s', () => {
    expect(sealOf(shut(), UNIT_REMARK)).toBe('own');
    expect(sealOf(shut().replace('WatchdogSec=30', 'WatchdogSec=3'), UNIT_REMARK)).toBe('changed');
    expect(sealOf(`${shut()}Nice=5\n`, UNIT_REMARK)).toBe('changed');
    expect(sealOf('[Service]\nExecStart=/bin/true\n', UNIT_REMARK)).toBe('foreign');
  });

  needs('systemd-analyze', 'systemd')('passes systemd’s own check and keeps its score, open for Bluetooth too', () => {
    const dir = mkdtempSync(join(tmpdir(), 'unit-'));
    onTestFinished(() => rmSync(dir, { recursive: true, force: true }));
    const unit = join(dir, 'wattkeep.service');
    mkdirSync(join(dir, 'run'), { mode: 0o700 });
    const env = { PATH: process.env.PATH, HOME: dir, XDG_RUNTIME_DIR: join(dir, 'run') };
    const ask = (...args: string[]) => {
      const { status, stderr } = spawnSync('systemd-analyze', ['--user', ...args], { env, encoding: 'utf8' });
      return { status, stderr };
    };
    for (const [text, threshold] of [
      [shut, 78],
      [open, 100],
    ] as const) {
      // Its command must exist for the check.
      writeFileSync(unit, text().replace('/usr/bin/node', process.execPath));
      expect(ask('verify', unit)).toEqual({ status: 0, stderr: '' });
      // Counted as if it were root's: a service of an account never has the privileges that most of the points are for.
      expect(ask('security', '--offline=true', `--threshold=${threshold}`, '--no-pager', unit).status).toBe(0);
    }
  });
});

describe('the agent for launchd', () => {
  it('starts the same words at login and after a failure, and is known as its own', () => {
    const command = ['/usr/bin/node', '/Users/mira/Bees & <sun>/main.js'];
    const plist = plistText(command);
    expect(programOf(plist)).toEqual(command);
    expect(plist).toContain('<key>RunAtLoad</key>\n  <true/>');
    expect(plist).toMatch(/<key>SuccessfulExit<\/key>\s*<false\/>/);
    expect(sealOf(plist, PLIST_REMARK)).toBe('own');
    expect(sealOf(plist.replace('mira', 'eve'), PLIST_REMARK)).toBe('changed');
  });
});

describe('the place of a service', () => {
  const at = (platform: string, env: Record<string, string> = {}) =>
    servicePlace({ platform, env, home: '/home/mira', uid: 1000 });

  it('starts Node as npm start does', () => {
    const { scripts } = JSON.parse(readFileSync(join(ROOT, 'package.json'), 'utf8')) as { scripts: { start: string } };
    expect(scripts.start).toBe(`node ${NODE_ARGUMENTS.join(' ')} agent/start.mjs`);
  });

  it('has launchd let go of the one before, since it takes up none twice', () => {
    const { before, begin } = at('darwin')!;
    expect([...before, ...begin]).toEqual([
      ['launchctl', 'bootout', 'gui/1000/wattkeep.agent'],
      ['launchctl', 'bootstrap', 'gui/1000', '/home/mira/Library/LaunchAgents/wattkeep.agent.plist'],
    ]);
    expect(at('linux')!.before).toEqual([]);
  });

  it('follows the account’s folder of settings, and ignores one that is not absolute', () => {
    expect(at('linux')!.file).toBe('/home/mira/.config/systemd/user/wattkeep.service');
    expect(at('linux', { XDG_CONFIG_HOME: '/cfg' })!.file).toBe('/cfg/systemd/user/wattkeep.service');
    expect(at('linux', { XDG_CONFIG_HOME: 'cfg' })!.file).toBe('/home/mira/.config/systemd/user/wattkeep.service');
    expect(at('darwin')!.file).toBe('/home/mira/Library/LaunchAgents/wattkeep.agent.plist');
    expect(at('win32')).toBeNull();
  });
});

describe('whether a station uses Bluetooth', () => {
  const station = (transport: object) => v.parse(Settings, { station: [{ id: 'shed', name: 'Shed', transport }] });

  it('is seen in a link and in a part’s link', () => {
    const ble = { kind: 'ble', name: 'Honey shed' };
    expect(readsByBluetooth(station(ble))).toBe(true);
    expect(readsByBluetooth(station({ kind: 'typed' }))).toBe(false);
  });
});
