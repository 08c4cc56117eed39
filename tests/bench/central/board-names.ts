// Names of the simulated boards, which say their number.

export function nameOf(board: number): string {
  return `board-${String(board).padStart(6, "0")}`;
}

export function numberOf(name: string): number {
  return Number(name.slice("board-".length));
}
