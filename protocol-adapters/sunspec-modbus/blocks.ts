/** Which registers of a device are read again and again: only models that tell power, charge or energy. */
import { MAX_PORT } from '#kit';
import type { Model } from './find.ts';
import { AC_MODELS, BATTERY, HEADER_REGISTERS, PORT_MODELS, STORAGE } from './models.ts';

export interface Block {
  readonly model: Model;
  /** Registers from the model's id on. */
  readonly registers: number;
}

export interface Blocks {
  readonly ac: Block | null;
  readonly ports: Block | null;
  readonly storage: Block | null;
  readonly battery: Block | null;
}

/** Ports that a block holds, at most as many as a station may number. */
export const portsIn = ({ model }: Block): number => {
  const layout = PORT_MODELS.get(model.id)!;
  const whole = Math.floor((HEADER_REGISTERS + model.length - layout.head) / layout.each);
  return Math.max(0, Math.min(MAX_PORT, whole));
};

/** The first model of `ids` that the device has, in their order. */
function first(models: readonly Model[], ids: Iterable<number>): Model | undefined {
  for (const id of ids) {
    const found = models.find(model => model.id === id);
    if (found !== undefined) return found;
  }
  return undefined;
}

const blockOf = (model: Model | undefined, registers: (model: Model) => number): Block | null =>
  model === undefined ? null : { model, registers: Math.min(HEADER_REGISTERS + model.length, registers(model)) };

export function chooseBlocks(models: readonly Model[]): Blocks {
  return {
    ac: blockOf(first(models, AC_MODELS.keys()), ({ id }) => AC_MODELS.get(id)!.registers),
    ports: blockOf(first(models, PORT_MODELS.keys()), model => {
      const { head, each } = PORT_MODELS.get(model.id)!;
      return head + each * portsIn({ model, registers: 0 });
    }),
    storage: blockOf(first(models, [STORAGE.id]), () => STORAGE.registers),
    battery: blockOf(first(models, [BATTERY.id]), () => BATTERY.registers),
  };
}
