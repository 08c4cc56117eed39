// The stopping rule to watch: what is asked of a record before it is enough, and what is there of it.

import { computed } from "@preact/signals";
import type { HowMuchIsSeen } from "../../analysis/storms/how-much-is-seen.ts";
import { stormRecord } from "../../analysis/storms/storm-record.ts";
import { measured, present, rain } from "./state.ts";

export const seenCriteria = computed<HowMuchIsSeen["criteria"]>(() => {
  const [record, site] = [measured.value, present.value?.site];
  if (record === null || site === undefined || record.inflow.length === 0) return [];
  const { design, displayUnits } = site;
  const storms = { design: design.storm ?? null, inflowFactor: design.inflowFactor, displayUnits };
  return stormRecord(record.inflow, rain.value ?? null, storms).seen.criteria;
});
