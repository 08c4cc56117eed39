// The problems of one recording, each one line that names file, line and column: the first few of each kind, with how
// many more are like them.

/** Different kinds that are told; beyond them there is only a count. */
const shown = 20;
/** Of one kind. */
const shownOfKind = 10;

export interface ProblemList {
  /** `line` is the line number in the file; null when the problem is the file as a whole. */
  add(line: number | null, text: string): void;
  readonly count: number;
  lines(): string[];
}

interface Kind {
  readonly first: string[];
  count: number;
}

export function problemList(file: string): ProblemList {
  const kinds = new Map<string, Kind>();
  let count = 0;
  return {
    add(line, text) {
      count += 1;
      const name = text.replace(/, found .*$/s, "");
      if (!kinds.has(name) && kinds.size < shown) kinds.set(name, { first: [], count: 0 });
      const kind = kinds.get(name);
      if (kind === undefined) return;
      kind.count += 1;
      if (kind.first.length < shownOfKind)
        kind.first.push(line === null ? `${file}: ${text}` : `${file}:${line}: ${text}`);
    },
    get count() {
      return count;
    },
    lines() {
      const told = [...kinds.values()];
      const lines = told.flatMap(({ first, count: like }) =>
        like === first.length
          ? first
          : [...first, `${file}: and ${(like - first.length).toLocaleString("en")} more like these`],
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
