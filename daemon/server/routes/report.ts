// GET /api/report: the report of the file contract so far. Cycles are written as they are read, a stretch of the record
// at a time, so that a year of them does not have to fit in memory. GET /api/summary: the same without its cycles.

import { Readable } from "node:stream";
import type { ReportSummary } from "../../../analysis/report/report.ts";
import { reportCycle } from "../../../analysis/report/summarize.ts";
import type { Server, ServerParts } from "../server-parts.ts";
import { noQuery } from "../span-query.ts";

export function addReportRoute(server: Server, parts: ServerParts): void {
  server.get("/api/report", { schema: { querystring: noQuery } }, async (_request, reply) => {
    reply.header("cache-control", "no-store").type("application/json; charset=utf-8");
    return reply.send(Readable.from(reportText(parts)));
  });
}

export function addSummaryRoute(server: Server, { summary }: ServerParts): void {
  server.get("/api/summary", { schema: { querystring: noQuery } }, async (_request, reply): Promise<ReportSummary> => {
    reply.header("cache-control", "no-store");
    return summary();
  });
}

const step_s = 7 * 86_400;

async function* reportText({ record, summary }: ServerParts): AsyncGenerator<string> {
  const { schema, span, ...rest } = summary();
  yield `{"schema":${JSON.stringify(schema)},"span":${JSON.stringify(span)},"cycles":[`;
  const whole = await record.span();
  let separator = "";
  for (let from_s = whole?.from_s ?? 0; whole !== null && from_s <= whole.to_s; from_s += step_s) {
    const some = await record.cycles({ from_s, to_s: from_s + step_s }, Number.MAX_SAFE_INTEGER);
    const cycles = some.filter(({ startedAt_s }) => startedAt_s >= from_s && startedAt_s < from_s + step_s).reverse();
    if (cycles.length === 0) continue;
    yield separator + cycles.map((cycle) => JSON.stringify(reportCycle(cycle))).join(",");
    separator = ",";
  }
  yield `],${JSON.stringify(rest).slice(1)}\n`;
}
