/**
 * School years that a text asks for: J. P. Kincaid et al., US Navy Research Branch Report 8-75 (1975),
 * 0.39 × words a sentence + 11.8 × syllables a word − 15.59. Syllables by counting groups of vowels.
 */
export function gradeOf(text: string): number {
  const sentences = text.split(/[.:;?](?:\s|$)/).filter(part => /[a-z]/i.test(part)).length;
  const words = text.split(/[^a-z'’]+/i).filter(word => /[a-z]{2}|\ba\b|\bI\b/i.test(word));
  const syllables = words.reduce((sum, word) => sum + syllablesOf(word.toLowerCase()), 0);
  return 0.39 * (words.length / sentences) + 11.8 * (syllables / words.length) - 15.59;
}

const syllablesOf = (word: string): number =>
  Math.max(1, (word.replace(/(?:[^laeiouy]es|ed|[^l]e)$/, '').match(/[aeiouy]+/g) ?? []).length);
