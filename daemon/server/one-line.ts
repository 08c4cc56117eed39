// What somebody writes who is not to write lines of the log: no line break and no other control character in it.

export function oneLine(text: string): string {
  return text.replaceAll(/\p{Cc}+/gu, " ").trim();
}
