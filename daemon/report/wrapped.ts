// Lines of a section for whoever reads them in a terminal.

const width = 110;

/** Two columns in; long lines go on below, two further in. What is aligned by hand (two spaces and more) stays as it is. */
export function wrapped(line: string): string[] {
  if (line.length <= width || /\S {2,}\S/.test(line)) return [`  ${line}`];
  const [, margin = "", text = ""] = /^(\s*)(.*)$/.exec(line) ?? [];
  const lines: string[] = [];
  let current = `  ${margin}`;
  for (const word of text.split(/ (?!%)/)) {
    if (current.trim() !== "" && current.length + word.length >= width) {
      lines.push(current);
      current = `    ${margin}`;
    }
    current += current.trim() === "" ? word : ` ${word}`;
  }
  return [...lines, current];
}
