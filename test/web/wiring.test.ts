import fc from 'fast-check';
import * as v from 'valibot';
import { describe, expect, it } from 'vitest';
import { StationSettings } from '#messages';
import { boxAround, overlap } from '../../web/charts/wiring-label.ts';
import { layoutRuler, type RulerPlan } from '../../web/charts/wiring-ruler.ts';
import { formatsFor } from '../../web/format.ts';
import { numberTyped } from '../../web/typed-text.ts';
import { NOTHING_TRIED, type Tried, type Wiring, wiringOf } from '../../web/views/wiring/model.ts';
import { ampsRuler, drawingPlan, rulerSays, voltsRuler } from '../../web/views/wiring/plans.ts';
import {
  assumptionsOf,
  drawingSays,
  reasonsOf,
  restsOn,
  sentenceOf,
  unitsOf,
  wayName,
} from '../../web/views/wiring/telling.ts';
import { triedOf } from '../../web/views/wiring/what-if.ts';
import { SHED_PANEL, SHED_PORT, wiredShed } from '../support/wired-shed.ts';

const formats = formatsFor('en-GB', 'C');
const units = unitsOf(formats, 'C');
const plain = (text: string) => text.replace(/[\u00a0\u202f]/g, ' ').replaceAll('\u2060', '');
const nameKind = ({ ratedW }: { ratedW: number | null }) => `${ratedW} W panel`;
const station = (more: object = {}) => v.parse(StationSettings, { ...wiredShed(), ...more });
const wired = (more: object = {}, tried: Tried = NOTHING_TRIED, portIndex = 0): Wiring => {
  const wiring = wiringOf(station(more), { tried, portIndex, way: null }, nameKind);
  if (!('chosen' in wiring)) throw new Error(`missing ${wiring.missing}`);
  return wiring;
};

describe('the sentence of Wiring', () => {
  it('says the best way and its verdict, then what it rests on', () => {
    const wiring = wired();
    expect(sentenceOf(wiring)).toBe('Three in series: fits.');
    const { coldest, rest } = restsOn(wiring, units, formats);
    expect([coldest, rest].map(text => plain(text!))).toEqual([
      '−15 °C',
      'three 90 W panels, Voc 22.4 V, Isc 5.1 A, −0.31 %/K · port 16–82 V, 9 A, 400 W',
    ]);
  });

  it('never says fits where the datasheet is incomplete, and names the group of Setup to fill in', () => {
    const { openCircuitV: _, ...unlabelled } = SHED_PANEL;
    const wiring = wired({ panel: [unlabelled] });
    expect(sentenceOf(wiring)).toMatch(/: cannot say\.$/);
    expect(wiring.missing).toEqual(['panels']);
    expect(reasonsOf(wiring.chosen, units).join(' ')).toContain('open-circuit voltage (Voc)');
    expect(wired({ place: undefined }).missing).toEqual(['place']);
    expect(wired({ solarPort: [{ maxV: 82 }] }).missing).toEqual(['ports']);
  });

  it('has nothing to say without panels or a port', () => {
    const choice = { tried: NOTHING_TRIED, portIndex: 0, way: null };
    expect(wiringOf(station({ panel: [], solarPort: [] }), choice, nameKind)).toEqual({ missing: ['panels', 'ports'] });
  });
});

describe('what is tried', () => {
  it('changes the verdict and nothing else', () => {
    const colder = wired({}, triedOf({ coldest: '\u221240' }, 1, 'C'));
    const three = colder.arrangements.find(({ series, parallel }) => series === 3 && parallel === 1)!;
    expect(three.verdict).toBe('do not connect');
    expect(reasonsOf(three, units).map(plain)[0]).toMatch(/^Too many volts: up to 84\.\d V on a morning of −40 °C\./);
    expect(wired({}, triedOf({ 'count-0': '1' }, 1, 'C')).arrangements).toHaveLength(1);
  });

  it('is read in the reader’s scale, and ignored where it is no number or out of range', () => {
    expect(triedOf({ coldest: '5' }, 1, 'F').coldestC).toBe(-15);
    for (const text of ['', 'cold', '-90', '1e3']) expect(triedOf({ coldest: text }, 1, 'C').coldestC).toBeUndefined();
    for (const text of ['0', '2.5', '41', 'x'])
      expect(triedOf({ 'count-0': text }, 1, 'C').counts).toEqual([undefined]);
    expect(['1 500', '−9,3', '12.5', '--1', '', '5.'].map(numberTyped)).toEqual([1500, -9.3, 12.5, null, null, null]);
  });
});

describe('kinds of panel', () => {
  it('are one where only the name and the stand differ', () => {
    const { count: _, ...one } = SHED_PANEL;
    const wiring = wired({ panel: [one, { ...one, name: 'Bench panel', tiltDeg: 20 }] });
    expect(wiring.kinds.map(({ name, count }) => [name, count])).toEqual([['90 W panel', 2]]);
  });

  it('are told apart by letters where they differ', () => {
    const other = { ...SHED_PANEL, name: 'Roof panel', count: 1, shortCircuitA: 5.6, maxPowerA: 5.1 };
    const wiring = wired({ panel: [{ ...SHED_PANEL, count: 2 }, other] });
    const mixed = wiring.arrangements.find(({ used }) => used.every(n => n > 0))!;
    expect(wayName(mixed, wiring.kinds)).toBe('2 × Hive panel + 1 × Roof panel in series');
    const plan = drawingPlan({ ...wiring, chosen: mixed }, units);
    expect(plan.strings).toEqual([['A1', 'A2', 'B1']]);
    expect(drawingSays({ ...wiring, chosen: mixed }, units)).toContain('B: Roof panel.');
  });
});

describe('ports', () => {
  it('without a name are told apart by number, and several are filled together', () => {
    const { name: _, ...port } = SHED_PORT;
    const wiring = wired({ solarPort: [port, port], panel: [{ ...SHED_PANEL, count: 6 }] });
    expect(wiring.ports.map(({ name }) => name)).toEqual(['solar port 1', 'solar port 2']);
    expect(wiring.together!.allocations[0]!.parts.map(part => part!.series)).toEqual([3, 3]);
    expect(wired().together).toBe(null);
  });
});

describe('two stations', () => {
  const choice = { tried: NOTHING_TRIED, portIndex: 0, way: null };
  const hut = (more: object = {}): StationSettings => ({ ...station(more), id: 'hut', name: 'Hut' });
  const both = (own: object, other: StationSettings) => {
    const wiring = wiringOf(station(own), { ...choice, others: [other] }, nameKind);
    if (!('chosen' in wiring)) throw new Error(`missing ${wiring.missing}`);
    return wiring.everywhere;
  };

  it('are filled together from the panels of both, each port under the name of its station', () => {
    const found = both({ panel: [{ ...SHED_PANEL, count: 5 }] }, hut({ panel: [{ ...SHED_PANEL, count: 1 }] }))!;
    expect(found.kinds.map(({ count }) => count)).toEqual([6]);
    expect(found.ports.map(({ station: of, name }) => `${of}, ${name}`)).toEqual([
      'Honey shed, Solar port',
      'Hut, Solar port',
    ]);
    expect(found.allocations[0]!.parts.map(part => part!.series)).toEqual([3, 3]);
    expect([found.stations, found.allocations[0]!.verdict]).toEqual([2, 'fits']);
  });

  it('give each kind of panel to the station whose port takes it', () => {
    const large = { ...SHED_PANEL, name: 'Long panel', count: 1, ratedW: 200, openCircuitV: 45, maxPowerV: 41.4 };
    const narrow = { ...SHED_PORT, maxV: 60 };
    const found = both({ panel: [SHED_PANEL, large] }, hut({ panel: [], solarPort: [narrow] }))!;
    expect(found.allocations[0]!.parts.map(part => part!.strings)).toEqual([[[3, 0]], [[0, 1]]]);
  });

  it('are reckoned for the colder of their mornings', () => {
    const found = both({}, hut({ place: { latitudeDeg: 46, longitudeDeg: 9, coldestC: -35 } }))!;
    expect(found.weather).toEqual({ coldestC: -35, hottestC: 38 });
    expect(found.allocations[0]!.parts.every(part => part === null || part.series < 3)).toBe(true);
  });

  it('are told apart by number where they have one name, and left alone where the other has no port told', () => {
    const named = both({}, { ...hut(), name: 'Honey shed' })!;
    expect(named.ports.map(port => port.station)).toEqual(['Honey shed 1', 'Honey shed 2']);
    expect(both({}, hut({ solarPort: [] }))).toBeNull();
  });
});

describe('the drawing of a way', () => {
  it('has a fuse of the right size in each string that needs one', () => {
    const wiring = wired();
    const parallel = wiring.arrangements.find(({ series, parallel }) => series === 1 && parallel === 3)!;
    const plan = drawingPlan({ ...wiring, chosen: parallel }, units);
    expect({ ...plan, fuse: plain(plan.fuse!) }).toMatchObject({ strings: [['1'], ['2'], ['3']], fuse: '10 A' });
    expect(drawingSays({ ...wiring, chosen: parallel }, units).map(plain)).toEqual([
      'Branch connectors (dots) join the strings, + with + and − with −: adds amps.',
      'Each string has a fuse in its + lead, 10 A.',
    ]);
    expect(drawingPlan(wiring, units).fuse).toBe(null);
  });

  it('shortens a long name of the port', () => {
    const long = wired({ solarPort: [{ ...SHED_PORT, name: 'The one behind the honey jars' }] });
    expect(drawingPlan(long, units).port[1]).toBe('The one behin…');
  });
});

describe('the rulers', () => {
  it('mark the coldest morning against the hard stop', () => {
    const wiring = wired();
    expect(plain(rulerSays(voltsRuler(wiring, units)!))).toBe(
      'Volts: 75.5 V at −15 °C, open; at most 79.3 V, 46.4 V working, hot, 82 V: a hard stop.',
    );
    expect(plain(rulerSays(ampsRuler(wiring, units)!))).toBe('Amps: 6.4 A: 1.25 × Isc, 9 A.');
  });

  it('show what lies beyond the stop as beyond, by what is judged', () => {
    const plan = voltsRuler(wired(), units)!;
    expect(layoutRuler(plan, 740).dot.beyond).toBe(false);
    expect(layoutRuler({ ...plan, limit: { at: 78, words: '78 V' } }, 740).dot.beyond).toBe(true);
    expect(layoutRuler({ ...plan, limit: null }, 740)).toMatchObject({ stop: null, dot: { beyond: false } });
  });

  it('keep their words inside and apart, whatever the values and the width', () => {
    const at = fc.double({ min: 0.1, max: 500, noNaN: true });
    fc.assert(
      fc.property(at, at, at, at, fc.integer({ min: 288, max: 1000 }), (limit, mark, hot, low, width) => {
        const plan: RulerPlan = {
          name: 'volts',
          low,
          limit: { at: limit, words: '82 V: a hard stop' },
          mark: { at: mark, words: '75.5 V at −15 °C, at most 79.3 V', most: mark * 1.05 },
          from: { at: hot, words: '46.4 V working, hot' },
        };
        const { labels, height, stop } = layoutRuler(plan, width);
        const boxes = labels.map(boxAround);
        boxes.forEach((box, i) => {
          expect(box.x >= -0.5 && box.x + box.width <= width + 0.5 && box.y + box.height <= height).toBe(true);
          expect(boxes.slice(i + 1).some(other => overlap(box, other))).toBe(false);
        });
        expect(stop!.x).toBeLessThanOrEqual(width);
      }),
    );
  });
});

describe('what was taken because it was not told', () => {
  it('is said in the reader’s scale', () => {
    const { powerPctPerK: _, ...panel } = SHED_PANEL;
    const wiring = wired({ panel: [panel], place: { latitudeDeg: 1, longitudeDeg: 1, coldestC: -15 } });
    const fahrenheit = unitsOf(formatsFor('en-GB', 'F'), 'F');
    const said = assumptionsOf(wiring.chosen, fahrenheit).map(plain).join(' ');
    expect(said).toContain('air of 104 °F');
    expect(said).toContain('% a degree F');
  });
});
