// A phrase as the beginning of a line.

export function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
