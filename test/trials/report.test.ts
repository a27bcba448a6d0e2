/** What stands in a report, and what never does unless it was chosen. */
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { reportHtml } from '../../agent/trials/report/page.ts';
import { askedFor, trialOfKind } from '../support/trials-reported.ts';

test('neither the place nor hours of the clock stand in it, whatever the settings say, unless they were chosen', () => {
  fc.assert(
    fc.property(
      fc.integer({ min: -89_999, max: 89_999 }),
      fc.integer({ min: -179_999, max: 179_999 }),
      fc.boolean(),
      (lat, lon, large) => {
        const place = { latitudeDeg: (lat + 0.123) / 1000, longitudeDeg: (lon + 0.456) / 1000 };
        const page = reportHtml(askedFor([trialOfKind('solar', { place })], { large }));
        expect(page).not.toContain(String(place.latitudeDeg));
        expect(page).not.toContain(String(place.longitudeDeg));
        expect(page).not.toMatch(/\b\d\d:\d\d\b/);
        const chosen = reportHtml(askedFor([trialOfKind('solar', { place })], { large, place }));
        expect(chosen).toContain(`${place.latitudeDeg}°, ${place.longitudeDeg}°`);
      },
    ),
    { numRuns: 50 },
  );
});

test('words of the owner are text: none of them becomes markup', () => {
  const signs = fc.string({ unit: fc.constantFrom(...'<>&"\'ab /='), minLength: 1, maxLength: 20 });
  fc.assert(
    fc.property(signs, signs, (note, stationName) => {
      const plain = reportHtml(askedFor([trialOfKind('usable')]));
      const page = reportHtml(askedFor([trialOfKind('usable', { note, stationName })]));
      const tags = (html: string) => html.match(/<[a-z/!][^>]*>/g)?.filter(tag => !tag.startsWith('<u')).length;
      // The note brings one row of its own and nothing else.
      expect(tags(page)).toBe(tags(plain)! + 6);
      expect(page).not.toContain('<script');
    }),
    { numRuns: 50 },
  );
});

test('it needs nothing else: no script, no address outside of it', () => {
  const page = reportHtml(
    askedFor([trialOfKind('usable'), trialOfKind('usable', { id: 'shed-usable-260602-bbbbbb' })]),
  );
  expect(page).not.toMatch(/<script|src=|@import|url\(/);
  expect(page.replaceAll('http://www.w3.org/2000/svg', '')).not.toMatch(/https?:/);
  expect(page).toContain("default-src 'none'");
});

test('it says what it is of: identity, versions, method with its clauses, budget, gaps, what it does not say', () => {
  const page = reportHtml(askedFor([trialOfKind('usable')]));
  for (const said of [
    'Cite as: <code>shed-usable-260601-aaaaaa</code>',
    'Judged by wattkeep 1.2.3',
    'made by wattkeep 1.3.0',
    'JCGM 100:2008',
    'limit of error of the meter',
    'no readings',
    'it is in the range',
    'What this does not say',
    'switches over',
    '2026-06-01',
    '60 W lamp',
  ])
    expect(page).toContain(said);
  expect(page).not.toContain('Simulated station');
  expect(reportHtml(askedFor([trialOfKind('usable', { simulated: true })]))).toContain('Simulated station');
});

test('a lead by own watts is told as unsure as these are, and what it would be were they exact', () => {
  const page = reportHtml(askedFor([trialOfKind('usable', { against: 'ownWatts' })]));
  const [, value, low, high] = /delivered (\d+) \((\d+) to (\d+)\) Wh/.exec(page)!.map(Number);
  expect(value).toBe(850);
  // Of 3 % either way, evenly, 95 % lie within 0.95 of it; told in whole Wh.
  expect(high! - low!).toBeGreaterThanOrEqual(Math.floor(2 * 0.95 * 0.03 * 850));
  expect(page).toContain('presumed to be off by 3 % at most');
  // The table says the same as the sentence, and its budget names what makes it so wide.
  expect(page).toContain(`<td>Delivered, by its own watts</td><td class="n">850 (${low} to ${high})`);
  expect(page).toContain('how far its own watts may be off');
});
