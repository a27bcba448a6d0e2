/**
 * The attribute table of a peripheral, from a plain description of its services. Layouts: Bluetooth Core Specification,
 * vol. 3 part G (GATT), 3; from memory.
 */

export interface CharacteristicPlan {
  /** 4 or 32 hex digits. */
  readonly uuid: string;
  readonly value?: Uint8Array;
  readonly can: readonly ('read' | 'notify' | 'indicate' | 'write' | 'writeBlind')[];
  /** It can notify and has no client configuration: a fault of some peripherals. */
  readonly noConfiguration?: true;
}

export interface ServicePlan {
  readonly uuid: string;
  readonly characteristics: readonly CharacteristicPlan[];
}

export interface Attribute {
  readonly handle: number;
  /** As it travels: 2 or 16 bytes. */
  readonly type: Buffer;
  value: Buffer;
  readonly canRead: boolean;
  readonly canWrite: boolean;
  /** Last handle of a service; its own handle otherwise. */
  endHandle: number;
  /** Of the characteristic a value or configuration belongs to. */
  readonly characteristic?: string;
  readonly isConfiguration?: true;
}

export const TYPE = { service: 0x2800, characteristic: 0x2803, configuration: 0x2902 } as const;

const PROPERTY = { read: 0x02, writeBlind: 0x04, write: 0x08, notify: 0x10, indicate: 0x20 } as const;

export const uuidBytes = (uuid: string): Buffer => Buffer.from(uuid, 'hex').reverse();
const short = (type: number): Buffer => Buffer.from([type & 0xff, type >> 8]);
const u16 = short;

/** Handles count from 1 without holes. */
export function attributeTable(services: readonly ServicePlan[]): Attribute[] {
  const table: Attribute[] = [];
  const add = (fields: Omit<Attribute, 'handle' | 'endHandle'>): Attribute => {
    const attribute = { ...fields, handle: table.length + 1, endHandle: table.length + 1 };
    table.push(attribute);
    return attribute;
  };
  for (const { uuid, characteristics } of services) {
    const service = add({ type: short(TYPE.service), value: uuidBytes(uuid), canRead: true, canWrite: false });
    for (const plan of characteristics) addCharacteristic(plan, table, add);
    service.endHandle = table.length;
  }
  return table;
}

function addCharacteristic(
  { uuid, can, value, noConfiguration }: CharacteristicPlan,
  table: readonly Attribute[],
  add: (fields: Omit<Attribute, 'handle' | 'endHandle'>) => Attribute,
): void {
  const properties = can.reduce((bits, use) => bits | PROPERTY[use], 0);
  const declaration = Buffer.concat([Buffer.from([properties]), u16(table.length + 2), uuidBytes(uuid)]);
  add({ type: short(TYPE.characteristic), value: declaration, canRead: true, canWrite: false });
  add({
    type: uuidBytes(uuid),
    value: Buffer.from(value ?? []),
    canRead: can.includes('read'),
    canWrite: can.includes('write') || can.includes('writeBlind'),
    characteristic: uuid,
  });
  const tells = can.includes('notify') || can.includes('indicate');
  if (!tells || noConfiguration === true) return;
  add({
    type: short(TYPE.configuration),
    value: Buffer.alloc(2),
    canRead: true,
    canWrite: true,
    characteristic: uuid,
    isConfiguration: true,
  });
}
