import {
  existsSync,
  lstatSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import * as v from 'valibot';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { Settings } from '#messages';
import { editSettings } from '../../agent/settings/edit.ts';
import { loadSettings, saveSettings } from '../../agent/settings/file.ts';
import { readSettings } from '../../agent/settings/read.ts';
import { anySettings } from '../support/any-settings.ts';

const OWNERS = `# How I keep my bees powered.

[server]
port = 7500      # 7420 is taken by the scale

[display]
clock = "24"

# The shed behind the linden.
# Bought in spring.
[[station]]   # the big one
id = "shed"
name = 'Honey shed'
ratedWh = 1_024  # from the label
  # which cable
[station.transport]
kind = "serial"
path = "/dev/ttyUSB0"

# two of them on the roof
[[station.panel]]
name = "roof"
ratedW = 100
count = 2

# The barn has no cable.
[[station]]
id = "barn"
name = "Barn"
transport = { kind = "typed" }   # every evening
# end of file
`;

let dir: string;
let path: string;
beforeEach(() => {
  dir = mkdtempSync(join(tmpdir(), 'wattkeep-settings-'));
  path = join(dir, 'settings.toml');
});
afterEach(() => rmSync(dir, { recursive: true, force: true }));

const commentsIn = (text: string) => text.match(/#.*$/gm) ?? [];
const changed = (change: (settings: Settings) => void) => {
  const settings = structuredClone(readSettings(OWNERS, 'settings.toml'));
  change(settings);
  return editSettings(OWNERS, settings, 'settings.toml');
};

describe('loading settings', () => {
  it('gives the defaults where there is no file', () => {
    const { settings, text, revision } = loadSettings(path);
    expect(settings).toEqual(v.parse(Settings, {}));
    expect([text, revision]).toEqual(['', 'none']);
    expect(existsSync(path)).toBe(false);
  });

  it('reads what an owner wrote, defaults filled in', () => {
    writeFileSync(path, OWNERS);
    const { settings } = loadSettings(path);
    expect(settings.server).toEqual({ host: '127.0.0.1', port: 7500 });
    expect(settings.station[0]).toMatchObject({
      ratedWh: 1024,
      reserveFloorPct: 10,
      transport: { kind: 'serial', path: '/dev/ttyUSB0', baud: 115_200 },
      panel: [{ name: 'roof', ratedW: 100, count: 2 }],
    });
    expect(settings.station[1]?.transport).toEqual({ kind: 'typed' });
  });

  it('says that a file is not UTF-8', () => {
    writeFileSync(path, Buffer.from([0x61, 0xff]));
    expect(() => loadSettings(path)).toThrow(expect.objectContaining({ code: 'SETTINGS_SYNTAX' }));
  });

  it('says that a folder is no file', () => {
    mkdirSync(path);
    expect(() => loadSettings(path)).toThrow(expect.objectContaining({ code: 'DATA_PERMISSION' }));
  });
});

describe('changing the text of settings', () => {
  it('changes nothing where nothing changed', () => {
    expect(changed(() => undefined)).toBe(OWNERS);
  });

  it('changes one value and leaves every other byte', () => {
    expect(
      changed(s => {
        s.server.port = 7501;
      }),
    ).toBe(OWNERS.replace('7500', '7501'));
  });

  it('puts a new key with its own table, above the comments of the next one', () => {
    const text = changed(s => {
      s.station[0]!.reserveFloorPct = 25;
      s.station[0]!.panel[0]!.tiltDeg = 30;
      s.display.temperature = 'F';
    });
    expect(commentsIn(text)).toEqual(commentsIn(OWNERS));
    expect(text).toMatch(/count = 2\ntiltDeg = 30\n/);
    expect(text).toMatch(/ratedWh = 1_024 {2}# from the label\nreserveFloorPct = 25\n/);
    expect(text).toContain('# The shed behind the linden.\n# Bought in spring.\n[[station]]   # the big one\n');
    expect(text).toContain('# The barn has no cable.\n[[station]]\nid = "barn"');
  });

  it('changes how a station is connected', () => {
    const text = changed(s => {
      s.station[0]!.transport = { kind: 'tcp', host: '10.0.0.4', port: 5020 };
    });
    expect(commentsIn(text)).toEqual(commentsIn(OWNERS));
    expect(text).toContain('  # which cable\n[station.transport]\nkind = "tcp"\n');
  });

  it('takes a station out with what was said about it, and nothing else', () => {
    const text = changed(s => {
      s.station.shift();
    });
    expect(text).toContain('# How I keep my bees powered.');
    expect(text).toContain('# The barn has no cable.\n[[station]]\nid = "barn"');
    expect(text).not.toContain('linden');
    expect(text).not.toContain('roof');
  });

  it('adds a station to a file that has none, and to no file at all', () => {
    const shed = readSettings(OWNERS, 'settings.toml').station[1]!;
    for (const before of ['', '# mine\n', '[server]\nport = 7500 # mine\n']) {
      const settings = { ...readSettings(before, 'settings.toml'), station: [shed] };
      const text = editSettings(before, settings, 'settings.toml');
      expect(text).toContain(before.trim());
      expect(text).toContain('[[station]]\nid = "barn"\nname = "Barn"\ntransport = { kind = "typed" }\n');
      expect(readSettings(text, 'settings.toml')).toEqual(settings);
    }
  });

  it('writes no default that nobody chose, and keeps one that somebody wrote', () => {
    expect(editSettings('', v.parse(Settings, {}), 'settings.toml')).toMatch(/^#.*\n$/);
    const chosen = '[server]\nport = 7420\n';
    expect(editSettings(chosen, readSettings(chosen, 'settings.toml'), 'settings.toml')).toBe(chosen);
  });

  it('keeps the line ends of another system', () => {
    const windows = OWNERS.replaceAll('\n', '\r\n');
    const settings = structuredClone(readSettings(windows, 'settings.toml'));
    settings.station[0]!.reserveFloorPct = 25;
    const text = editSettings(windows, settings, 'settings.toml');
    expect(text).not.toMatch(/[^\r]\n/);
    expect(commentsIn(text.replaceAll('\r', ''))).toEqual(commentsIn(OWNERS));
  });

  it('does not mistake text in several lines for comments or headers', () => {
    const odd =
      '# above\n[[station]]\nid = "a"\nname = """\n# not a comment\n[[station]]"""\ntransport = {kind="typed"}\n';
    const settings = structuredClone(readSettings(odd, 'settings.toml'));
    settings.station[0]!.reserveFloorPct = 25;
    const text = editSettings(odd, settings, 'settings.toml');
    expect(readSettings(text, 'settings.toml')).toEqual(settings);
    expect(text).toContain('"""\n# not a comment\n[[station]]"""');
  });

  it('reads back whatever it writes, over nothing and over other settings', () => {
    fc.assert(
      fc.property(anySettings, anySettings, (first, second) => {
        const one = editSettings('', first, 'settings.toml');
        expect(readSettings(one, 'settings.toml')).toEqual(first);
        const noted = one.replace(/^(?=\[)/gm, '# a note\n');
        expect(readSettings(editSettings(noted, second, 'settings.toml'), 'settings.toml')).toEqual(second);
      }),
      { numRuns: 150 },
    );
  });
});

describe('saving settings', () => {
  const next = () => {
    const settings = structuredClone(readSettings(OWNERS, 'settings.toml'));
    settings.server.port = 7501;
    return settings;
  };

  it('makes folder and file, for its owner alone, and leaves nothing else behind', () => {
    const deep = join(dir, 'config', 'wattkeep', 'settings.toml');
    const saved = saveSettings(deep, next(), 'none');
    expect(loadSettings(deep)).toEqual(saved);
    expect(statSync(deep).mode & 0o777).toBe(0o600);
    expect(statSync(join(dir, 'config')).mode & 0o777).toBe(0o700);
    expect(readdirSync(join(dir, 'config', 'wattkeep'))).toEqual(['settings.toml']);
  });

  it('replaces the file in one step: a reader that has it open keeps the old one whole', () => {
    writeFileSync(path, OWNERS);
    const before = statSync(path).ino;
    saveSettings(path, next(), loadSettings(path).revision);
    expect(statSync(path).ino).not.toBe(before);
    expect(readFileSync(path, 'utf8')).toBe(OWNERS.replace('7500', '7501'));
  });

  it('refuses where the file was changed in between, and leaves that change alone', () => {
    writeFileSync(path, OWNERS);
    const { revision } = loadSettings(path);
    writeFileSync(path, `${OWNERS}# one more thought\n`);
    expect(() => saveSettings(path, next(), revision)).toThrow(
      expect.objectContaining({ code: 'SETTINGS_CHANGED', message: 'settings.toml was changed since it was read.' }),
    );
    expect(readFileSync(path, 'utf8')).toBe(`${OWNERS}# one more thought\n`);
    expect(() => saveSettings(path, next(), 'none')).toThrow(expect.objectContaining({ code: 'SETTINGS_CHANGED' }));
  });

  it('writes through a link to where the owner keeps the file', () => {
    const real = join(dir, 'kept-elsewhere.toml');
    writeFileSync(real, OWNERS);
    symlinkSync(real, path);
    saveSettings(path, next());
    expect(lstatSync(path).isSymbolicLink()).toBe(true);
    expect(readFileSync(real, 'utf8')).toContain('port = 7501');
  });

  it('leaves the file and no half of another where it cannot be written', () => {
    writeFileSync(path, OWNERS);
    // A folder where the new file is to be written stands for whatever may go wrong there.
    mkdirSync(join(dir, `.settings.toml.${process.pid}.new`));
    writeFileSync(join(dir, `.settings.toml.${process.pid}.new`, 'x'), '');
    expect(() => saveSettings(path, next())).toThrow();
    expect(readFileSync(path, 'utf8')).toBe(OWNERS);
  });
});
