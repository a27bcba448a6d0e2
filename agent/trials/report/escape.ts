/** The door of all words into a report: what an owner or a station wrote is text, never markup. */
const MEANS: Readonly<Record<string, string>> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;', "'": '&#39;' };

export const text = (words: string): string => words.replace(/[&<>"']/g, sign => MEANS[sign]!);
