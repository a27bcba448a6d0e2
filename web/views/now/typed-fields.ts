/** Which numbers the owner may type of a station. */
import * as words from '../../words.ts';

export type TypedField = keyof typeof words.TYPED_FIELDS;
export const ALL_TYPED = Object.keys(words.TYPED_FIELDS) as TypedField[];
