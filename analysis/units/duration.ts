// A length of time as a person says it.

/** `12 s`, `4 min`, `1 h 20 min`, `3 d 4 h`: the two largest parts that matter. */
export function duration(span_s: number): string {
  const s = Math.max(0, Math.round(span_s));
  if (s < 60) return `${s} s`;
  if (s < 600 && s % 60 !== 0) return `${Math.floor(s / 60)} min ${s % 60} s`;
  const minutes = Math.round(s / 60);
  if (minutes < 60) return `${minutes} min`;
  const hours = Math.floor(minutes / 60);
  if (hours < 48) return minutes % 60 ? `${hours} h ${minutes % 60} min` : `${hours} h`;
  const days = Math.floor(hours / 24);
  return hours % 24 ? `${days} d ${hours % 24} h` : `${days} d`;
}

/** One part only, for a sentence: `12 s`, `4 min`, `3 h`, `2 days`. */
export function roughDuration(span_s: number): string {
  const s = Math.max(0, span_s);
  if (s < 90) return `${Math.round(s)} s`;
  if (s < 90 * 60) return `${Math.round(s / 60)} min`;
  if (s < 48 * 3600) return `${Math.round(s / 3600)} h`;
  return `${Math.round(s / 86_400)} days`;
}
