/** What a closed group of Setup holds, in a few words; a draft may hold what is not valid yet, which is left out. */
import { asText, type Formats } from '../../format.ts';
import * as words from '../../words/setup.ts';
import { valueAt } from './draft.ts';

const number = (draft: unknown, path: string): number | null => {
  const value = valueAt(draft, path);
  return typeof value === 'number' ? value : null;
};
const plain = (formats: Formats, value: number): string =>
  formats.number(value, Number.isInteger(value) ? 0 : Number.isInteger(value * 10) ? 1 : 2);
const entriesAt = (draft: unknown, path: string): number =>
  ((valueAt(draft, path) as unknown[] | undefined) ?? []).length;

export function batteryTold(draft: unknown, base: string, formats: Formats): string {
  const rated = number(draft, `${base}.ratedWh`);
  const floor = number(draft, `${base}.reserveFloorPct`);
  const energy = rated === null ? words.noLabelEnergy : asText(formats.energy(rated));
  return floor === null ? energy : words.batteryTold(energy, asText(formats.percent(floor)));
}

/** The limits of the first port, and how many there are beside it. */
export function portsTold(draft: unknown, base: string, formats: Formats): string {
  const count = entriesAt(draft, `${base}.solarPort`);
  if (count === 0) return words.NOTHING_TOLD;
  const all = [...Array(count).keys()].map(i => {
    const at = (key: string) => number(draft, `${base}.solarPort.${i}.${key}`);
    const told = (value: number | null) => (value === null ? '' : plain(formats, value));
    return words.portTold(told(at('minV')), told(at('maxV')), told(at('maxA')), told(at('maxW')));
  });
  return all.join(' · ');
}

export function panelsTold(draft: unknown, base: string, formats: Formats): string {
  const kinds = [...Array(entriesAt(draft, `${base}.panel`)).keys()].flatMap(i => {
    const watts = number(draft, `${base}.panel.${i}.ratedW`);
    if (watts === null) return [];
    const count = number(draft, `${base}.panel.${i}.count`) ?? 1;
    return [words.kindTold(plain(formats, count), asText(formats.power(watts)))];
  });
  return kinds.length === 0 ? words.NOTHING_TOLD : kinds.join(', ');
}

export function loadsTold(draft: unknown, base: string, formats: Formats): string {
  const named = [...Array(entriesAt(draft, `${base}.load`)).keys()].flatMap(i => {
    const name = valueAt(draft, `${base}.load.${i}.name`);
    const watts = number(draft, `${base}.load.${i}.powerW`);
    return typeof name === 'string' && watts !== null ? [words.loadTold(name, asText(formats.power(watts)))] : [];
  });
  return named.length === 0 ? words.NOTHING_TOLD : named.join(', ');
}

export function placeTold(draft: unknown, base: string, formats: Formats): string {
  const latitude = number(draft, `${base}.place.latitudeDeg`);
  const longitude = number(draft, `${base}.place.longitudeDeg`);
  if (latitude === null || longitude === null) return words.NOTHING_TOLD;
  const coldest = number(draft, `${base}.place.coldestC`);
  const where = placeText(latitude, longitude, formats);
  return coldest === null ? where : `${where}, ${words.coldestTold(asText(formats.temperature(coldest)))}`;
}

export const placeText = (latitudeDeg: number, longitudeDeg: number, formats: Formats): string =>
  words.placeTold(
    words.degrees(formats.number(Math.abs(latitudeDeg), 2), latitudeDeg < 0 ? 'S' : 'N'),
    words.degrees(formats.number(Math.abs(longitudeDeg), 2), longitudeDeg < 0 ? 'W' : 'E'),
  );

export function tariffTold(draft: unknown, formats: Formats): string {
  const price = number(draft, 'tariff.perKWh');
  const currency = valueAt(draft, 'tariff.currency');
  if (price === null || typeof currency !== 'string') return words.NOTHING_TOLD;
  const hours = entriesAt(draft, 'tariff.hours');
  const told = words.priceTold(formats.number(price, 2), currency);
  return hours === 0 ? told : `${told}, ${words.hoursTold(hours)}`;
}
