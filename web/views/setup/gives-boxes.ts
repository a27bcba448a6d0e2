/** What a part of a station gives, as boxes to tick: the names of quantities behind the words of the screen. */
import type { TemplateResult } from 'lit';
import { type QuantityName, quantityRow } from '#kit/quantities';
import { type Boxes, tickBoxes } from './tick-boxes.ts';

/** What is offered; others that the settings file names are shown beside them. */
const OFFERED: readonly QuantityName[] = [
  'solarPowerW',
  'chargerPowerW',
  'inputPowerW',
  'outputPowerW',
  'stateOfChargePct',
  'batteryVoltageV',
  'batteryCurrentA',
];

export const givesBoxes = (boxes: Boxes): TemplateResult =>
  tickBoxes(boxes, OFFERED, name => quantityRow(name)?.label ?? name);
