// GET /api/budget: what makes a figure uncertain, source by source. Of one cycle, or of the inflow and the rate of now.

import * as z from "zod";
import type { Cycle, FlowEstimate } from "../../../analysis/cycles/cycle.ts";
import { flowBudget } from "../../../analysis/uncertainty/budget.ts";
import type { RecordReader } from "../../stores/record-reader.ts";
import type { BudgetAnswer } from "../api-types.ts";
import type { Server, ServerParts } from "../server-parts.ts";
import { timeInQuery } from "../span-query.ts";
import { BadRequest } from "../validate-request.ts";

export const budgetQuery = z.strictObject({
  started_at_s: timeInQuery(
    "when the run of the cycle began, as its startedAt_s says; by default what is true now",
  ).optional(),
});

export function addBudgetRoute(server: Server, { record, state }: ServerParts): void {
  server.get(
    "/api/budget",
    { schema: { querystring: budgetQuery } },
    async ({ query }, reply): Promise<BudgetAnswer> => {
      reply.header("cache-control", "no-store");
      const { started_at_s } = query;
      const flows = started_at_s === undefined ? state().situation : await cycleAt(record, started_at_s);
      return { inflow: budgetOrNull(flows.inflow), pumpRate: budgetOrNull(flows.pumpRate) };
    },
  );
}

async function cycleAt(record: RecordReader, started_at_s: number): Promise<Cycle> {
  const span = { from_s: started_at_s, to_s: started_at_s };
  const found = (await record.cycles(span, 2)).find(({ startedAt_s }) => startedAt_s === started_at_s);
  if (found === undefined) {
    throw new BadRequest(`started_at_s: expected the beginning of a run in the record, found ${started_at_s}`, 404);
  }
  return found;
}

function budgetOrNull(estimate: FlowEstimate | null): BudgetAnswer["inflow"] {
  return estimate && flowBudget(estimate);
}
