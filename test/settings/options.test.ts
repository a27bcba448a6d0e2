import * as v from 'valibot';
import { describe, expect, it } from 'vitest';
import { Settings } from '#messages';
import { parseArguments } from '../../agent/settings/arguments.ts';
import { readCommandLine, resolveOptions } from '../../agent/settings/options.ts';
import { defaultPaths } from '../../agent/settings/paths.ts';

const paths = { settingsFile: '/c/settings.toml', dataDir: '/d' };
const settings = v.parse(Settings, { server: { port: 7500 } });
const resolved = (argv: string[], env: Record<string, string> = {}) =>
  resolveOptions(readCommandLine(argv, env), settings, paths);
const usage = (message: RegExp, fix: RegExp) =>
  expect.objectContaining({
    code: 'USAGE',
    message: expect.stringMatching(message),
    fix: expect.stringMatching(fix),
  });

describe('options of the agent', () => {
  it('come from the settings file where nobody says otherwise', () => {
    expect(resolved([])).toEqual({
      dataDir: '/d',
      settingsFile: '/c/settings.toml',
      host: '127.0.0.1',
      port: 7500,
      demoAllowed: true,
    });
  });

  it('put a flag before the environment and the environment before the file', () => {
    const env = { WATTKEEP_PORT: '7600', WATTKEEP_DATA: '/e', WATTKEEP_HOST: '', WATTKEEP_NO_DEMO: '1' };
    expect(resolved(['--port', '7700'], env)).toMatchObject({
      port: 7700,
      dataDir: '/e',
      host: '127.0.0.1',
      demoAllowed: false,
    });
    expect(resolved([], env).port).toBe(7600);
  });

  it('take --name value and --name=value alike', () => {
    const apart = ['--data', '/x', '--settings', '/y', '--host', '::1', '--port', '0', '--no-demo'];
    const joined = ['--data=/x', '--settings=/y', '--host=::1', '--port=0', '--no-demo=true'];
    expect(resolved(joined)).toEqual(resolved(apart));
    expect(resolved(apart)).toEqual({
      dataDir: '/x',
      settingsFile: '/y',
      host: '::1',
      port: 0,
      demoAllowed: false,
    });
  });

  it.each([
    [['--prot', '1'], /--prot is not an option/, /Did you mean --port\?/],
    [['--port'], /--port needs a value/, /--port VALUE/],
    [['--data='], /--data needs a value/, /--data=VALUE/],
    [['--data', '--host', 'x'], /--data needs a value/, /--data VALUE/],
    [['--port', '65536'], /--port is 65536/, /0 to 65535/],
    [['--port=-1'], /--port is -1/, /0 to 65535/],
    [['--port', '1', '--port', '2'], /--port is given twice/, /once/],
    [['--no-demo=maybe'], /neither true nor false/, /--no-demo alone/],
    [['serve'], /serve is not understood/, /--help/],
    [['--__proto__', 'x'], /is not an option/, /Known here/],
  ])('refuse %j in words', (argv, message, fix) => {
    expect(() => readCommandLine(argv, {})).toThrow(usage(message, fix));
  });

  it('refuse a variable that makes no sense, by its name', () => {
    expect(() => readCommandLine([], { WATTKEEP_PORT: 'x' })).toThrow(usage(/WATTKEEP_PORT is x/, /65535/));
    expect(() => readCommandLine([], { WATTKEEP_NO_DEMO: 'x' })).toThrow(usage(/WATTKEEP_NO_DEMO/, /1 or 0/));
  });
});

describe('arguments', () => {
  const form = { values: ['tilt', 'port'], repeatable: ['port'], switches: ['json'] };

  it('take a negative value in both forms, repeated options, words, and everything after a bare --', () => {
    const { values, switches, words } = parseArguments(
      ['aim', '--tilt', '-12.5', '--port=a', '--json', '--port', 'b', '--', '--tilt'],
      form,
    );
    expect([...values]).toEqual([
      ['tilt', ['-12.5']],
      ['port', ['a', 'b']],
    ]);
    expect([...switches]).toEqual(['json']);
    expect(words).toEqual(['aim', '--tilt']);
    expect(parseArguments(['--tilt=-12.5'], form).values.get('tilt')).toEqual(['-12.5']);
  });
});

describe('default places', () => {
  it('follow XDG, and ignore a variable that is not an absolute path', () => {
    expect(defaultPaths('linux', {}, '/home/bea')).toEqual({
      settingsFile: '/home/bea/.config/wattkeep/settings.toml',
      dataDir: '/home/bea/.local/share/wattkeep',
    });
    const env = { XDG_CONFIG_HOME: '/etc/bea', XDG_DATA_HOME: 'relative' };
    expect(defaultPaths('darwin', env, '/home/bea')).toEqual({
      settingsFile: '/etc/bea/wattkeep/settings.toml',
      dataDir: '/home/bea/.local/share/wattkeep',
    });
  });

  it('are the application folders on Windows', () => {
    expect(defaultPaths('win32', { APPDATA: 'C:\\Roam' }, 'C:\\Users\\bea')).toEqual({
      settingsFile: 'C:\\Roam\\wattkeep\\settings.toml',
      dataDir: 'C:\\Users\\bea\\AppData\\Local\\wattkeep',
    });
  });
});
