import { describe, expect, it } from 'vitest';
import { findProgram, launchAdapter, permissionFlag } from '../../agent/host/launch.ts';

const request = {
  entryPath: '/opt/app/dist/agent/host/adapter-child.js',
  source: 'built-in',
  nodePath: '/usr/bin/node',
  nodeVersion: '22.13.0',
  prlimit: '/usr/bin/prlimit',
  setpriv: '/usr/bin/setpriv',
  bwrap: null,
  baselineDataBytes: 50_000_000,
};

describe('starting a process of adapters', () => {
  it('uses the permission model under the name the running Node knows', () => {
    expect(permissionFlag('20.20.2')).toBe('--experimental-permission');
    expect(permissionFlag('22.12.0')).toBe('--experimental-permission');
    expect(permissionFlag('22.13.0')).toBe('--permission');
    expect(permissionFlag('23.4.0')).toBe('--experimental-permission');
    expect(permissionFlag('23.5.0')).toBe('--permission');
    expect(permissionFlag('24.1.0')).toBe('--permission');
  });

  it('lets built-in adapters read the built files they are made of and nothing else', () => {
    const { args } = launchAdapter(request);
    expect(args.filter(word => word.startsWith('--allow'))).toEqual([
      '--allow-fs-read=/opt/app/dist/agent/host/*',
      '--allow-fs-read=/opt/app/dist/protocol-adapters/*',
      '--allow-fs-read=/opt/app/package.json',
    ]);
  });

  it("lets an owner's adapter read its own file as well", () => {
    const { args } = launchAdapter({ ...request, source: '/home/u/adapters/shed.js' });
    expect(args).toContain('--allow-fs-read=/home/u/adapters/shed.js');
    expect(args.at(-1)).toBe('/home/u/adapters/shed.js');
  });

  it('limits the heap everywhere, and all memory and its life by the agent where Linux offers it', () => {
    const { file, args } = launchAdapter(request);
    expect(file).toBe('/usr/bin/setpriv');
    expect(args.join(' ')).toMatch(
      /--pdeathsig KILL -- \/usr\/bin\/prlimit --data=330000000 --core=0 -- \/usr\/bin\/node/,
    );
    const bare = launchAdapter({ ...request, prlimit: null, setpriv: null });
    expect(bare.file).toBe('/usr/bin/node');
    expect(bare.args).toContain('--max-old-space-size=96');
    expect(launchAdapter({ ...request, baselineDataBytes: null }).args.join(' ')).not.toMatch(/--data/);
  });

  it("puts an owner's adapter into a space that holds Node, the built files and that one file, and no network", () => {
    const { args } = launchAdapter({ ...request, bwrap: '/usr/bin/bwrap', source: '/data/adapters/ab12.mjs' });
    const words = args.slice(args.indexOf('/usr/bin/bwrap'));
    expect(words).toContain('--unshare-all');
    expect(words).toContain('--die-with-parent');
    const bound = words.flatMap((word, i) => (word.startsWith('--ro-bind') ? [words[i + 1]] : []));
    expect(bound).toEqual([
      ...['/lib', '/lib64', '/usr/lib', '/usr/lib64'],
      '/usr/bin/node',
      '/opt/app/dist/agent/host',
      '/opt/app/dist/protocol-adapters',
      '/opt/app/package.json',
      '/data/adapters/ab12.mjs',
    ]);
    expect(words.filter(word => word.startsWith('--bind'))).toEqual([]);
  });

  it('finds system programs by their fixed places', () => {
    expect(findProgram('no-such-program')).toBeNull();
    if (process.platform === 'linux') expect(findProgram('sh')).toMatch(/\/bin\/sh$/);
  });
});
