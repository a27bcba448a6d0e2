/**
 * A protocol as a table: where each value stands in the frame and what it means. Most adapters are a manifest, a framer
 * and one of these.
 */
import type { QuantityKey } from '../quantities.ts';
import type { States } from '../reading.ts';
import type { ByteOrder, DigitsType, NumberType } from './numbers.ts';

export interface Place {
  /** Bytes from the front of the frame. */
  readonly at: number;
  readonly type: NumberType | DigitsType;
  /** Bytes of a `bcd` or `ascii` number; left out otherwise. */
  readonly bytes?: number;
  /** Default: that of the table. */
  readonly order?: ByteOrder;
  /** Only these bits of an unsigned number, moved down to the lowest: 0x30 of 0x2f is 2. */
  readonly mask?: number;
  /** Raw values (after `mask`, before `scale`) by which the station says that it does not know. */
  readonly notAvailable?: readonly number[];
  /** The frame may end before it: then it is not given. */
  readonly optional?: true;
}

/** value = raw × scale + add, in the quantity's unit. */
export interface QuantityField extends Place {
  readonly gives: QuantityKey;
  readonly scale?: number;
  readonly add?: number;
}

type TriName = 'acOutletsOn' | 'dcOutletsOn' | 'onMains';
type WordName = 'inputLimitedBy' | 'inputSource';
/** What each raw value means; one that is not listed is `unknown`. */
type Words<Word> = Readonly<Record<number, Word>>;

export interface SwitchField extends Place {
  readonly state: TriName;
  /** Default: 0 is false, everything else true. */
  readonly words?: Words<boolean>;
}

export type WordField = {
  [S in WordName]: Place & { readonly state: S; readonly words: Words<NonNullable<States[S]>> };
}[WordName];

export interface FaultField extends Place {
  readonly state: 'fault';
  /** Words for each raw value that is a fault; one that is not listed is none. */
  readonly words: Words<string>;
  /** Keys of `words` are bit numbers, 0 the lowest: each bit that is set is a fault. */
  readonly eachBit?: true;
}

export type Field = QuantityField | SwitchField | WordField | FaultField;

export interface FieldTable {
  /** A shorter frame is rejected. */
  readonly minBytes: number;
  /** A longer one too. Default: any longer one is read. */
  readonly maxBytes?: number;
  /** Default: little. */
  readonly order?: ByteOrder;
  /** Bytes that are always the same, such as the kind of the frame; another value there is no frame of this table. */
  readonly constants?: readonly { readonly at: number; readonly is: number }[];
  readonly fields: readonly Field[];
}
