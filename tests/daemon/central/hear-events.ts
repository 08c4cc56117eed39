// Hears server-sent events as a browser does, packed and all, and keeps what came.

import type { OverviewChanges, OverviewRow } from "../../../daemon/central/central-types.ts";

export interface HeardEvents {
  text(): string;
  /** The newest of each basin that came as a change. */
  rows(): ReadonlyMap<string, OverviewRow>;
  close(): void;
}

export async function hearEvents(url: string, cookie = ""): Promise<HeardEvents> {
  const stop = new AbortController();
  const answer = await fetch(url, { headers: { cookie, "accept-encoding": "gzip" }, signal: stop.signal });
  let text = "";
  const rows = new Map<string, OverviewRow>();
  const reader = answer.body?.pipeThrough(new TextDecoderStream()).getReader();

  async function read(): Promise<void> {
    let rest = "";
    for (;;) {
      const part = await reader?.read();
      if (part === undefined || part.done) return;
      text += part.value;
      const events = (rest + part.value).split("\n\n");
      rest = events.pop() ?? "";
      for (const event of events) {
        const [, data] = /^event: changes\ndata: (.*)$/m.exec(event) ?? [];
        if (data === undefined) continue;
        const changes: OverviewChanges = JSON.parse(data);
        for (const row of changes.rows) rows.set(row.name, row);
      }
    }
  }

  read().catch(() => undefined);
  return { text: () => text, rows: () => rows, close: () => stop.abort() };
}
