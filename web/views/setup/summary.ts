/** Setup's sentence: which station, which panels, where. */
import type { Settings, StationSettings } from '#messages';
import { asText, type Formats } from '../../format.ts';
import * as words from '../../words/setup.ts';
import { placeText } from './told.ts';

export function setupSentence(settings: Settings, index: number, formats: Formats): string {
  const station = settings.station[index];
  return station === undefined ? words.NO_STATION_SETUP : words.stationSummary(station.name, factsOf(station, formats));
}

function factsOf(station: StationSettings, formats: Formats): string[] {
  const panels = station.panel.reduce((sum, panel) => sum + panel.count, 0);
  const { place } = station;
  return [
    station.ratedWh === undefined ? words.noLabelEnergy : asText(formats.energy(station.ratedWh)),
    words.panelsTold(panels, formats.number(panels, 0)),
    place === undefined ? words.placeNotTold : placeText(place.latitudeDeg, place.longitudeDeg, formats),
  ];
}
