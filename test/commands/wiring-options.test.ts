import { describe, expect, it } from 'vitest';
import { WattkeepError } from '#kit';
import { wiringOptions } from '../../agent/commands/wiring-options.ts';

const PANEL = 'voc=22.4,isc=5.1,vmp=18.6,imp=4.84,voc-pct-per-k=-0.31,max-fuse=10';
const PORT = 'vmin=16,vmax=82,imax=9,wmax=400';
const COLD = ['--coldest', '-15'];

const refusal = (argv: readonly string[]): WattkeepError => {
  try {
    wiringOptions(argv);
  } catch (error) {
    if (error instanceof WattkeepError) return error;
  }
  throw new Error(`${argv.join(' ')} was taken`);
};

describe('the options of the wiring check', () => {
  it('take a panel, a port and a lead apart, in any order', () => {
    const shuffled = PANEL.split(',').reverse().join(', ');
    const options = wiringOptions([
      '--port',
      PORT,
      '--lead=amps=10,mm2=2.5',
      '--panel',
      shuffled,
      ...COLD,
      '--count=3',
    ]);
    expect(options.panels).toEqual([
      {
        name: 'the panel',
        count: 3,
        ratedW: 18.6 * 4.84,
        openCircuitV: 22.4,
        shortCircuitA: 5.1,
        maxPowerV: 18.6,
        maxPowerA: 4.84,
        openCircuitPctPerK: -0.31,
        powerPctPerK: null,
        maxSeriesFuseA: 10,
        tolerancePct: null,
        build: null,
      },
    ]);
    expect(options.ports).toEqual([
      {
        name: 'the port',
        station: null,
        minV: 16,
        maxV: 82,
        maxA: 9,
        maxW: 400,
        overCurrentAllowed: false,
        lead: { lengthM: null, conductorMm2: 2.5, plugA: 10 },
      },
    ]);
    expect(options.weather).toEqual({ coldestC: -15, hottestC: null });
  });

  it('take a negative reading and cold in both forms', () => {
    const argv = ['--panel', PANEL, '--port', PORT];
    expect(wiringOptions([...argv, '--coldest=-15', '--meter=-44'])).toEqual(
      wiringOptions([...argv, '--coldest', '-15', '--meter', '-44']),
    );
  });

  it('count each kind of panel by itself, else all by --count', () => {
    const counts = (...argv: string[]) => wiringOptions([...argv, '--port', PORT, ...COLD]).panels.map(p => p.count);
    expect(counts('--panel', PANEL)).toEqual([1]);
    expect(counts('--panel', `${PANEL},count=2`, '--panel', PANEL, '--count', '4')).toEqual([2, 4]);
  });

  it('give one lead to all ports, or each its own', () => {
    const leads = (...argv: string[]) =>
      wiringOptions(['--panel', PANEL, '--port', PORT, '--port', PORT, ...COLD, ...argv]).ports.map(p => p.lead?.plugA);
    expect(leads('--lead', 'amps=10')).toEqual([10, 10]);
    expect(leads('--lead', 'amps=10', '--lead', 'amps=20')).toEqual([10, 20]);
  });

  it.each([
    ['a negative voltage', ['--panel', 'voc=-22'], 'voc'],
    ['zero volts', ['--panel', 'voc=0'], 'voc'],
    ['what is no number', ['--panel', 'voc=NaN'], 'NaN'],
    ['infinity', ['--panel', 'voc=Infinity'], 'Infinity'],
    ['a number in another form', ['--panel', 'voc=2,4'], '4'],
    ['no value', ['--panel', 'voc='], 'voc'],
    ['an unknown name', ['--panel', 'vco=22'], 'vco'],
    ['a name given twice', ['--panel', 'voc=22,voc=23'], 'twice'],
    ['a coefficient that rises', ['--panel', 'voc=22,voc-pct-per-k=0.31'], 'voc-pct-per-k'],
    ['a tolerance below zero', ['--panel', 'voc=22,tolerance-pct=-1'], 'tolerance-pct'],
    ['Vmp above Voc', ['--panel', 'voc=22,vmp=25'], 'vmp'],
    ['Imp above Isc', ['--panel', 'isc=5,imp=6'], 'imp'],
    ['an unknown build', ['--panel', 'voc=22,build=soft'], 'soft'],
    ['no panels', ['--panel', PANEL, '--count', '0'], '--count'],
    ['half a panel', ['--panel', PANEL, '--count', '2.5'], '2.5'],
    ['a third kind', ['--panel', PANEL, '--panel', PANEL, '--panel', PANEL], '3 kinds'],
    ['a window turned round', ['--panel', PANEL, '--port', 'vmin=60,vmax=12'], 'vmin'],
    ['half a permission', ['--panel', PANEL, '--port', `${PORT},over-current=perhaps`], 'perhaps'],
    ['two ports of one name', ['--panel', PANEL, '--port', `${PORT},name=a`, '--port', `${PORT},name=a`], 'a'],
    ['a lead of no length', ['--panel', PANEL, '--lead', 'metres=0'], 'metres'],
    ['more leads than ports', ['--panel', PANEL, '--lead', 'amps=9', '--lead', 'amps=9'], '2 leads'],
    ['a hottest day below the coldest', ['--panel', PANEL, '--hottest', '-40'], '--hottest'],
    ['a light that is not known', ['--panel', PANEL, '--light', 'dim'], 'dim'],
    ['a way that is not written as one', ['--panel', PANEL, '--as', '3 by 1'], '--as'],
    ['a stray word', ['--panel', PANEL, 'three'], 'three'],
  ])('refuse %s', (_, argv, named) => {
    const error = refusal([...argv, ...(argv.includes('--port') ? [] : ['--port', PORT]), ...COLD]);
    expect(error.code).toBe('USAGE');
    expect(error.message).toContain(named);
    expect(error.fix).not.toBe('');
  });

  it.each([
    ['--panel', ['--port', PORT, ...COLD]],
    ['--port', ['--panel', PANEL, ...COLD]],
    ['--coldest', ['--panel', PANEL, '--port', PORT]],
  ])('name what is missing: %s', (name, argv) => {
    expect(refusal(argv).fix).toContain(`Add ${name}`);
  });
});
