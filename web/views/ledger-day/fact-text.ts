/** A dated fact's value in words. What another version kept in another shape is told as not told, never guessed. */
import * as v from 'valibot';
import { PanelSettings, PlaceSettings, SolarPortSettings, TariffSettings } from '#messages';
import { asText, type Formats, MINUS } from '../../format.ts';
import * as words from '../../words/facts.ts';

type Teller = (value: unknown, formats: Formats) => string | null;

const read = <T>(schema: v.GenericSchema<unknown, T>, value: unknown): T | null => {
  const parsed = v.safeParse(schema, value);
  return parsed.success ? parsed.output : null;
};
const number =
  (tell: (value: number, formats: Formats) => string): Teller =>
  (value, formats) =>
    typeof value === 'number' ? tell(value, formats) : null;
const degrees = (value: number, formats: Formats) => formats.number(value, value % 1 === 0 ? 0 : 2).replace('-', MINUS);
const percent = number((value, formats) => asText(formats.percent(value)));
const amount = (value: number, formats: Formats) => formats.number(value, value % 1 === 0 ? 0 : 2);

const panels: Teller = (value, formats) =>
  read(v.array(PanelSettings), value)
    ?.map(({ ratedW, count, tiltDeg, azimuthDeg }) =>
      words.panelText(
        count,
        asText(formats.power(ratedW)),
        tiltDeg === undefined ? '' : words.tilt(degrees(tiltDeg, formats)),
        azimuthDeg === undefined ? '' : words.azimuth(degrees(azimuthDeg, formats)),
      ),
    )
    .join('; ') ?? null;

const TELLERS: Record<words.FactName, Teller> = {
  panel: panels,
  place(value, formats) {
    const place = read(PlaceSettings, value);
    return place && words.placeText(degrees(place.latitudeDeg, formats), degrees(place.longitudeDeg, formats));
  },
  solarPort: (value, formats) =>
    read(v.array(SolarPortSettings), value)
      ?.map(({ maxW }) => words.portText(maxW === undefined ? null : asText(formats.power(maxW))))
      .join('; ') ?? null,
  tariff(value, formats) {
    const tariff = read(TariffSettings, value);
    return (
      tariff && words.tariffText(`${amount(tariff.perKWh, formats)} ${tariff.currency}`, tariff.hours?.length ?? 0)
    );
  },
  paid: number(amount),
  ratedWh: number((value, formats) => asText(formats.energy(value))),
  chargeCeilingPct: percent,
  reserveFloorPct: percent,
  lowCutoffPct: percent,
  idleW: number((value, formats) => asText(formats.power(value))),
  inputSource: value => (typeof value === 'string' ? value : null),
  zone: value => (typeof value === 'string' ? value : null),
};

export const isTold = (key: string): key is words.FactName => Object.hasOwn(TELLERS, key);

/** @param valueJson null: the owner took it away */
export function factText(key: words.FactName, valueJson: string | null, formats: Formats): string {
  if (valueJson === null) return words.NOT_TOLD;
  return TELLERS[key](JSON.parse(valueJson), formats) || words.NOT_TOLD;
}
