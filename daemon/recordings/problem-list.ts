// The problems of one recording, each one line that names file, line and column: the first in full, then a count.

const shown = 20;

export interface ProblemList {
  /** `line` is the line number in the file; null when the problem is the file as a whole. */
  add(line: number | null, text: string): void;
  readonly count: number;
  lines(): string[];
}

export function problemList(file: string): ProblemList {
  const first: string[] = [];
  let count = 0;
  return {
    add(line, text) {
      count += 1;
      if (count <= shown) first.push(line === null ? `${file}: ${text}` : `${file}:${line}: ${text}`);
    },
    get count() {
      return count;
    },
    lines() {
      const rest = count - first.length;
      return rest === 0 ? [...first] : [...first, `${file}: ${rest} more ${rest === 1 ? "problem" : "problems"}`];
    },
  };
}

/** What was found, short enough for a line and with no control character in it. */
export function quoted(text: string): string {
  return JSON.stringify(text.length > 40 ? `${text.slice(0, 40)}…` : text);
}
