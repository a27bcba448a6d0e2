import { describe, expect, it } from 'vitest';
import { editDistance, nearestName } from '#kit/nearest';
import { readSettings } from '../../agent/settings/read.ts';

const SHED = '[[station]]\nid = "shed"\nname = "Shed"\ntransport = { kind = "serial", path = "/dev/ttyUSB0" }\n';

function refusalOf(text: string) {
  try {
    readSettings(text, 'settings.toml');
  } catch (error) {
    return error as { code: string; message: string; fix: string; line: number | null; path: string };
  }
  throw new Error('it was taken');
}

describe('a settings file that is not TOML', () => {
  it.each([
    ['[server]\nport = \n', 2],
    ['[server\n', 1],
    ['a = 1\na = 2\n', 2],
    ['# x\n\nname = "open\n', 3],
    ['[server]\nport = 07420\n', 2],
  ])('%j is refused with its line', (text, line) => {
    const refusal = refusalOf(text);
    expect(refusal).toMatchObject({ code: 'SETTINGS_SYNTAX', line });
    expect(refusal.message).toMatch(new RegExp(`^settings\\.toml line ${line}: .*[^.]\\.$`));
  });
});

describe('an unknown key', () => {
  it.each([
    ['[sever]\nport = 1\n', 1, 'sever', 'server'],
    ['[server]\nhost = "localhost"\nprot = 1\n', 3, 'server.prot', 'port'],
    [`${SHED}ratedwh = 1000\n`, 5, 'station.0.ratedwh', 'ratedWh'],
    [`${SHED}\n${SHED.replaceAll('shed', 'barn')}reserveFloor = 5\n`, 10, 'station.1.reserveFloor', 'reserveFloorPct'],
    [`${SHED}[[station.panel]]\nname = "a"\nratedW = 100\ntilt = 30\n`, 8, 'station.0.panel.0.tilt', 'tiltDeg'],
    [SHED.replace('path', 'paht'), 4, 'station.0.transport.paht', 'path'],
    [SHED.replace('name', 'naem'), 3, 'station.0.naem', 'name'],
    [`${SHED}place = { latitudeDeg = 1, longitude = 2 }\n`, 5, 'station.0.place.longitude', 'longitudeDeg'],
    [`${SHED}panel = [ { name = "a", rated = 1 } ]\n`, 5, 'station.0.panel.0.rated', 'ratedW'],
    [`${SHED}[station.place]\nlatitudeDeg = 1\nlongitude = 2\n`, 7, 'station.0.place.longitude', 'longitudeDeg'],
    ['server.prot = 1\n', 1, 'server.prot', 'port'],
  ])('in %j is refused with its line and the nearest name', (text, line, path, near) => {
    expect(refusalOf(text)).toMatchObject({
      code: 'SETTINGS_UNKNOWN_KEY',
      line,
      path,
      fix: expect.stringMatching(new RegExp(`^Did you mean ${near}\\? Known here: `)),
    });
  });

  it('far from every name is refused with the names there are', () => {
    expect(refusalOf('[server]\npropolis = 1\n')).toMatchObject({
      message: 'settings.toml line 2: server.propolis is not a setting.',
      fix: 'Known here: host, port, lan.',
    });
  });

  it('called __proto__ is refused like any other', () => {
    expect(refusalOf('[__proto__]\nx = 1\n').code).toBe('SETTINGS_UNKNOWN_KEY');
    expect('x' in {}).toBe(false);
  });
});

describe('a wrong value', () => {
  it.each([
    ['[server]\nport = 70000\n', 'line 2: server.port is 70000.', 'Allowed: a whole number from 0 to 65535.'],
    ['[server]\nport = "7420"\n', 'line 2: server.port is "7420".', 'Allowed: a whole number from 0 to 65535.'],
    ['[display]\nclock = "13"\n', 'line 2: display.clock is "13".', 'Allowed: one of "24", "12", "system".'],
    [
      `${SHED}reserveFloorPct = 91.5\n`,
      'line 5: station 1, reserveFloorPct is 91.5.',
      'Allowed: a number from 0 to 90.',
    ],
    [
      `${SHED}outletsSleepAtLowLoad = "no"\n`,
      'line 5: station 1, outletsSleepAtLowLoad is "no".',
      'Allowed: true or false.',
    ],
    [`${SHED}ratedWh = nan\n`, 'line 5: station 1, ratedWh is null.', 'Allowed: a number from 10 to 200000.'],
    [
      `${SHED}zone = "Mars/Base"\n`,
      'line 5: station 1, zone is "Mars/Base".',
      'Allowed: an IANA time zone such as Europe/Lisbon.',
    ],
    [
      SHED.replace('serial', 'smoke'),
      'line 4: station 1, transport.kind is "smoke".',
      'Allowed: one of "serial", "tcp", "process", "ble", "typed", "parts".',
    ],
    [
      SHED.replace(/transport.*\n/, ''),
      'line 1: station 1, transport is missing.',
      'Allowed: one of "serial", "tcp", "process", "ble", "typed", "parts" as its kind.',
    ],
    ['station = "shed"\n', 'line 1: station is "shed".', 'Allowed: a list.'],
    [`${SHED}${SHED}`, /^line 1: station is \[/, 'Allowed: every station needs an id of its own.'],
    [
      SHED.replace('"shed"', '"The Shed"'),
      'line 2: station 1, id is "The Shed".',
      'Allowed: lower-case letters, digits and dashes, 40 at most.',
    ],
  ])('in %j is refused with what was found and what may stand there', (text, message, fix) => {
    const refusal = refusalOf(text);
    expect(refusal.code).toBe('SETTINGS_VALUE');
    expect(refusal.message.replace(/^settings\.toml /, '')).toMatch(message);
    expect(refusal.fix).toBe(fix);
  });
});

describe('two values that contradict each other', () => {
  const PANEL = `${SHED}[[station.panel]]\nname = "a"\nratedW = 90\n`;
  it.each([
    [`${PANEL}openCircuitV = 22.4\nmaxPowerV = 22.4\n`, 9, 'panel 1, maxPowerV is 22.4', 'less than openCircuitV'],
    [`${PANEL}shortCircuitA = 4.8\nmaxPowerA = 5.1\n`, 9, 'panel 1, maxPowerA is 5.1', 'less than shortCircuitA'],
    [`${SHED}[[station.solarPort]]\nminV = 82\nmaxV = 16\n`, 6, 'solarPort 1, minV is 82', 'less than maxV'],
    [
      `${SHED}[station.place]\nlatitudeDeg = 1\nlongitudeDeg = 2\ncoldestC = 40\nhottestC = -15\n`,
      8,
      'place.coldestC is 40',
      'less than hottestC',
    ],
  ])('in %j are refused at the lower one', (text, line, what, allowed) => {
    expect(refusalOf(text)).toMatchObject({
      code: 'SETTINGS_VALUE',
      line,
      message: expect.stringContaining(what),
      fix: `Allowed: ${allowed}.`,
    });
  });

  it('are taken where one of them is not told', () => {
    const [station] = readSettings(`${PANEL}maxPowerV = 18.6\nshortCircuitA = 5.1\n`, 'settings.toml').station;
    expect(station!.panel[0]).toMatchObject({ maxPowerV: 18.6, shortCircuitA: 5.1 });
  });
});

describe('the facts of a datasheet', () => {
  const PANEL = `${SHED}[[station.panel]]\nname = "a"\nratedW = 90\n`;
  it.each([
    [`${PANEL}openCircuitPctPerK = 0.31\n`, 'Allowed: a number from -1 to -0.01.'],
    [`${PANEL}build = "tent"\n`, 'Allowed: one of "rigid", "folding".'],
    [`${SHED}[[station.solarPort]]\noverCurrentAllowed = 1\n`, 'Allowed: true or false.'],
    [`${SHED}[[station.solarPort]]\nlead = { lengthM = 0 }\n`, 'Allowed: a number from 0.1 to 200.'],
    [`${SHED}idleW = -1\n`, 'Allowed: a number from 0 to 500.'],
    ['tariff = { perKWh = -1, currency = "EUR" }\n', 'Allowed: a number from 0 to 100000.'],
    ['tariff = { perKWh = 0.3, currency = "euro" }\n', 'Allowed: three capital letters (ISO 4217) such as EUR.'],
    ['tariff = { perKWh = 0.3 }\n', 'Allowed: three capital letters (ISO 4217) such as EUR.'],
  ])('%j is refused with what may stand there', (text, fix) => {
    expect(refusalOf(text)).toMatchObject({ code: 'SETTINGS_VALUE', fix });
  });
});

describe('the nearest name', () => {
  it('counts letters to change, to add and to leave out', () => {
    expect(editDistance('kitten', 'sitting')).toBe(3);
    expect(editDistance('', 'abc')).toBe(3);
    expect(editDistance('saturday', 'sunday')).toBe(3);
  });

  it('does not guess where nothing is near', () => {
    expect(nearestName('PORT', ['host', 'port'])).toBe('port');
    expect(nearestName('propolis', ['host', 'port'])).toBe(null);
  });
});
