// What a person is told of runs that the pump's signal does not tell of, beside the starts that it does: one sentence,
// wherever those figures stand.

/** @param runs how many; absent: none */
export function unwatchedWords(runs: number | undefined): string | null {
  if (runs === undefined) return null;
  const times = runs === 1 ? "once" : `${runs} times`;
  return `beside these the water was drawn down ${times} while the pump was said to rest: by another pump that no signal tells of, or its signal is not whole`;
}

/** The same as a sentence by itself. */
export function unwatchedSentence(runs: number | undefined): string | null {
  const words = unwatchedWords(runs);
  return words && `${words.replace("beside these", "Beside these starts")}.`;
}
