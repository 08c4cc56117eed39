// A length of time for a person to read at the command line, to two or three figures.

export function durationInWords(span_s: number): string {
  if (span_s < 120) return `${Math.round(span_s)} s`;
  if (span_s < 7200) return `${Math.round(span_s / 60)} min`;
  if (span_s < 172_800) return `${(span_s / 3600).toFixed(1)} h`;
  return `${(span_s / 86_400).toFixed(1)} days`;
}
