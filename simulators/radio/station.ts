/**
 * The plant as a Bluetooth station with a whole battery service, on a soft radio of its own: the cable of a simulator
 * that needs none. Unplugged it is out of reach.
 */
import type { Sample } from '../plant/sample.ts';
import type { Cable } from '../wire/cable.ts';
import { batteryService, batteryValues } from './battery.ts';
import { createSoftRadio } from './soft-radio.ts';

export interface RadioCable extends Cable {
  /** What its characteristics say from now on, told to whoever is subscribed. */
  show(sample: Sample): void;
}

const ADDRESS = 'c0:00:00:00:00:01';

export const isRadio = (cable: Cable): cable is RadioCable => 'show' in cable;

const valuesOf = ({ quantities }: Sample): Record<string, Buffer> => {
  const told = (value: number | null | undefined): number => value ?? 0;
  return batteryValues({
    levelPct: told(quantities.stateOfChargePct),
    inputW: told(quantities.inputPowerW),
    outputW: told(quantities.outputPowerW),
    voltageV: told(quantities.batteryVoltageV),
    availableWh: told(quantities.availableEnergyWh),
    toEmptyMin: quantities.statedMinutesToEmpty ?? null,
    toFullMin: quantities.statedMinutesToFull ?? null,
  });
};

/** Listens on a Unix socket, to which hook.ts leads a host. Rejects with the system's error where it cannot. */
export async function radioCable(path: string, name: string, first: Sample): Promise<RadioCable> {
  const radio = createSoftRadio([{ address: ADDRESS, name, services: [batteryService(valuesOf(first))] }]);
  await radio.listen(path);
  const peripheral = radio.peripherals[0]!;
  return {
    where: { radio: path, name },
    // What it says stands in its characteristics: there is no stream.
    send: () => undefined,
    hear: () => undefined,
    show(sample) {
      for (const [uuid, value] of Object.entries(valuesOf(sample))) peripheral.tell(uuid, value);
    },
    async unplug() {
      peripheral.faults.absent = true;
      peripheral.loseLink();
    },
    async replug() {
      peripheral.faults.absent = false;
    },
    close: () => void radio.close(),
  };
}
