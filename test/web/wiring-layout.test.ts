import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Box, boxAround, overlap } from '../../web/charts/wiring-label.ts';
import { layoutWiring, type WiringLayout, type WiringPlan } from '../../web/charts/wiring-layout.ts';

const words = {
  link: '+ to \u2212: adds volts',
  morePanels: (n: number) => `${n} more`,
  moreStrings: (n: number) => `${n} more strings like these`,
};
const named = (lengths: readonly number[], prefix = ''): string[][] => {
  let n = 0;
  return lengths.map(length => Array.from({ length }, () => `${prefix}${++n}`));
};
const planOf = (lengths: readonly number[], fuse: string | null, port = 'solar port', prefix = ''): WiringPlan => ({
  strings: named(lengths, prefix),
  fuse,
  port: ['station', port],
  words,
});
const WIDTHS = [288, 320, 358, 480, 560, 740, 1000];

/** The stretches of every lead, as thin boxes half a lead's width around them. */
const stretches = ({ leads }: WiringLayout): Box[] =>
  leads.flatMap(({ points }) =>
    points.slice(1).map(([x2, y2], i) => {
      const [x1, y1] = points[i]!;
      return {
        x: Math.min(x1, x2) - 2,
        y: Math.min(y1, y2) - 2,
        width: Math.abs(x2 - x1) + 4,
        height: Math.abs(y2 - y1) + 4,
      };
    }),
  );
/** What is wrong with a drawing, in words. */
function faultsOf(layout: WiringLayout): string[] {
  const leads = stretches(layout);
  const labels = layout.labels.map(label => ({ label, name: `“${label.text}”`, box: boxAround(label) }));
  const inside = (panel: Box) => ({ x: panel.x + 1, y: panel.y, width: panel.width - 2, height: panel.height - 3 });
  const within = (box: Box) =>
    box.x >= 0 && box.y >= 0 && box.x + box.width <= layout.width && box.y + box.height <= layout.height;
  return [
    ...labels.flatMap(({ name, box, label }, i) => [
      ...leads.filter(lead => overlap(box, lead)).map(() => `${name} touches a lead`),
      ...layout.fuses.filter(fuse => overlap(box, fuse)).map(() => `${name} touches a fuse`),
      ...labels.slice(i + 1).flatMap(other => (overlap(box, other.box) ? `${name} touches ${other.name}` : [])),
      ...(label.onPort !== true && overlap(box, layout.port) ? [`${name} touches the port`] : []),
      ...(within(box) ? [] : [`${name} leaves the drawing`]),
    ]),
    ...leads.flatMap(lead => [
      ...(within(lead) ? [] : ['a lead leaves the drawing']),
      ...layout.panels.filter(panel => overlap(lead, inside(panel))).map(() => 'a lead runs behind a panel'),
    ]),
    ...layout.panels.flatMap((panel, i) =>
      [...layout.panels.slice(i + 1), layout.port].filter(other => overlap(panel, other)).map(() => 'boxes overlap'),
    ),
  ];
}
function holds(plan: WiringPlan, width: number) {
  const layout = layoutWiring(plan, width);
  const { strings, fuse } = plan;
  expect({ strings, fuse, width, faults: faultsOf(layout) }).toEqual({ strings, fuse, width, faults: [] });
  expect(layout.fuses.length).toBe(fuse === null ? 0 : rowsShown(plan));
}
const rowsShown = ({ strings }: WiringPlan) => Math.min(strings.length, 4 + (strings.length === 5 ? 1 : 0));

describe('the drawing of a wiring', () => {
  for (const width of WIDTHS) {
    it(`keeps every word off every lead at ${width} px, from one panel to four strings of four`, () => {
      for (let parallel = 1; parallel <= 4; parallel++)
        for (let series = 1; series <= 4; series++)
          for (const fuse of [null, '10 A', '40 A']) {
            const plan = planOf(
              Array.from({ length: parallel }, () => series),
              fuse,
            );
            holds(plan, width);
          }
    });
  }

  it('keeps them off for unlike strings of two kinds, any port and any width', () => {
    fc.assert(
      fc.property(
        fc.array(fc.integer({ min: 1, max: 24 }), { minLength: 1, maxLength: 12 }),
        fc.constantFrom(null, '10 A', '15 A'),
        fc.constantFrom('solar port', 'PV', 'Solar input 2'),
        fc.constantFrom('', 'A'),
        fc.integer({ min: 288, max: 1100 }),
        (lengths, fuse, port, prefix, width) => {
          const plan = planOf(lengths, fuse, port, prefix);
          holds(plan, width);
        },
      ),
      { numRuns: 300 },
    );
  });

  it('goes from + of a panel to − of the next, and with both ends to the port', () => {
    const { panels, leads, port, joints } = layoutWiring(planOf([3], null), 740);
    const links = leads.filter(lead => lead.sign === 'link').map(({ points }) => [points[0]!, points.at(-1)!]);
    expect(links).toEqual(
      [0, 1].map(i => [
        [panels[i]!.x + panels[i]!.width - 12, panels[i]!.y + panels[i]!.height],
        [panels[i + 1]!.x + 12, panels[i + 1]!.y + panels[i + 1]!.height],
      ]),
    );
    const plus = leads.filter(lead => lead.sign === '+');
    expect(plus[0]!.points[0]![0]).toBe(panels[2]!.x + panels[2]!.width - 12);
    expect(plus.at(-1)!.points.at(-1)![1]).toBe(port.y);
    const minus = leads.find(lead => lead.sign === '-')!;
    expect(minus.points[0]).toEqual([panels[0]!.x + 12, panels[0]!.y + panels[0]!.height]);
    expect(minus.points.at(-1)![0]).toBe(port.x);
    expect(joints).toEqual([]);
  });

  it('joins strings by one connector at either end of each', () => {
    expect(layoutWiring(planOf([1, 1, 1], '10 A'), 740)).toMatchObject({ joints: { length: 6 }, fuses: { length: 3 } });
  });

  it('says how many it leaves out where they would not fit', () => {
    const { labels, panels } = layoutWiring(planOf([12, 12, 12, 12, 12, 12, 12], null), 358);
    const said = labels.map(label => label.text);
    expect(said).toContain('3 more strings like these');
    expect(panels.filter(panel => !panel.single)).toHaveLength(4);
  });
});
