// A table in Markdown, its columns in line.

export function table(head: readonly string[], rows: readonly (readonly string[])[]): string {
  const widths = head.map((_, i) => Math.max(3, ...[head, ...rows].map((row) => (row[i] ?? "").length)));
  const line = (cells: readonly string[]) =>
    `| ${widths.map((width, i) => (cells[i] ?? "").padEnd(width)).join(" | ")} |`;
  return [line(head), line(widths.map((width) => "-".repeat(width))), ...rows.map(line)].join("\n");
}
