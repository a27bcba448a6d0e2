/** The adapters that come with wattkeep, one line each. */
import { bleBattery } from './ble-battery/index.ts';
import type { Adapter } from './kit/index.ts';
import { lines } from './lines/index.ts';
import { sunspecModbus, sunspecTcp } from './sunspec-modbus/index.ts';

export const builtInAdapters: readonly Adapter[] = [lines, sunspecModbus, sunspecTcp, bleBattery];
