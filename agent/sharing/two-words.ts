/**
 * Two plain words, one of 4,096 pairs: drawn anew for each asking and shown on both sides, so that the owner lets in the
 * phone in the hand and not another one that asks at the same moment. They are no secret.
 */
import { randomInt } from 'node:crypto';

const LIKE =
  'amber early quiet late bright mossy dry round northern still warm pale old narrow steady clear sunny wooden hollow gentle silver evening woven painted grey golden stony windy copper dusty open distant level sandy morning winter summer autumn spring chalky little broad upper lower white black brown green blue red yellow deep thin heavy light cold tall long short curved plain striped spotted southern'.split(
    ' ',
  );
const THINGS =
  'hive meadow kettle lantern clover garden ladder barrel willow orchard pebble bucket candle harbour heather basket thimble river cellar pepper walnut button hammer feather saddle mirror pocket needle window ribbon gravel cherry turnip anchor bridge carrot castle cotton dragon engine falcon ginger hazel island jacket kitten lemon marble nettle otter parrot quarry rabbit sparrow ticket violet wagon acorn beetle copse drum fern gate hill'.split(
    ' ',
  );

export const twoWords = (): string => `${LIKE[randomInt(LIKE.length)]} ${THINGS[randomInt(THINGS.length)]}`;
