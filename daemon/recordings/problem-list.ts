// The problems of one recording, each one line that names file, line and column: the first of each kind in full, with
// how many are like it.

/** Different kinds that are told; beyond them there is only a count. */
const shown = 20;

export interface ProblemList {
  /** `line` is the line number in the file; null when the problem is the file as a whole. */
  add(line: number | null, text: string): void;
  readonly count: number;
  lines(): string[];
}

interface Kind {
  readonly first: string;
  count: number;
}

export function problemList(file: string): ProblemList {
  const kinds = new Map<string, Kind>();
  let count = 0;
  return {
    add(line, text) {
      count += 1;
      const name = text.replace(/, found .*$/s, "");
      const known = kinds.get(name);
      if (known !== undefined) known.count += 1;
      else if (kinds.size < shown) {
        kinds.set(name, { first: line === null ? `${file}: ${text}` : `${file}:${line}: ${text}`, count: 1 });
      }
    },
    get count() {
      return count;
    },
    lines() {
      const told = [...kinds.values()];
      const lines = told.flatMap(({ first, count: like }) =>
        like === 1 ? [first] : [first, `${file}: and ${(like - 1).toLocaleString("en")} more like it`],
      );
      const rest = count - told.reduce((sum, kind) => sum + kind.count, 0);
      return rest === 0
        ? lines
        : [...lines, `${file}: ${rest.toLocaleString("en")} more problem${rest === 1 ? "" : "s"}`];
    },
  };
}

/** What was found, short enough for a line and with no control character in it. */
export function quoted(text: string): string {
  return JSON.stringify(text.length > 40 ? `${text.slice(0, 40)}…` : text);
}
