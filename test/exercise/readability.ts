/**
 * Flesch–Kincaid grade of a text: 0.39·words/sentences + 11.8·syllables/words − 15.59 (J. P. Kincaid et al., Research
 * Branch Report 8-75, Naval Technical Training Command, 1975). A US grade g is read at about age g + 5.
 * Syllables are groups of vowels, without a silent e at the end.
 */
export function readingGrade(sentences: readonly string[]): number {
	const words = sentences.flatMap((sentence) => sentence.toLowerCase().match(/[a-z']+/g) ?? []);
	const count = sentences.join(" ").match(/[.!?](\s|$)/g)?.length ?? 0;
	const syllables = words.reduce((sum, word) => sum + syllablesOf(word), 0);
	return (0.39 * words.length) / Math.max(count, 1) + (11.8 * syllables) / words.length - 15.59;
}

export function syllablesOf(word: string): number {
	const silent = word.replace(/(?:[^laeiouy]es|[^laeiouyt]ed|[^laeiouy]e)$/, "");
	return Math.max(1, silent.match(/[aeiouy]+/g)?.length ?? 0);
}
