/** How a load is named within a sentence. */

/** A name within a sentence: in small letters where it is one of ours or a common noun written large. */
export const the = (name: string): string =>
  /^[A-Z][^A-Z]*$/.test(name) ? `the ${name.charAt(0).toLowerCase()}${name.slice(1)}` : `“${name}”`;
