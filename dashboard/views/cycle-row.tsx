// One row of the table of cycles.

import type { Cycle, FlowEstimate } from "../../analysis/cycles/cycle.ts";
import { showInRecord } from "../charts/record-span.ts";
import { figure, flowFigure, runLength, unitName } from "../format.ts";
import { site } from "../live.ts";
import { showHowSure } from "../parts/how-sure.tsx";
import { units } from "../preferences.ts";
import { whichRanIn } from "../pump-words.ts";
import { siteTime } from "../site-time.ts";

/** Stands for rows that are not in the page. */
export function Filler({ height }: { height: number }) {
  return (
    <tr class="filler" style={{ height: `${height}px` }}>
      <td />
    </tr>
  );
}

export function Row({ cycle, index }: { cycle: Cycle; index: number }) {
  const time = siteTime(site.value?.site.timezone ?? "UTC");
  const system = units.value;
  const which = whichRanIn(cycle);
  return (
    <tr aria-rowindex={index}>
      <th scope="row">
        <button
          type="button"
          class="plain"
          aria-label={`${time.stamp(cycle.startedAt_s)}, show in the record`}
          onClick={() => showInRecord(cycle.startedAt_s - (cycle.rest_s ?? 0), cycle.stoppedAt_s)}
        >
          {time.stamp(cycle.startedAt_s)}
        </button>
      </th>
      <td data-label={which === null ? "ran" : `pump ${which} ran`}>
        {which !== null && <small>{which}</small>} {runLength(cycle.run_s)}
      </td>
      <td data-label="after a rest of">{runLength(cycle.rest_s)}</td>
      <td data-label={`in, ${unitName("flow", system)}`}>
        <Flow of="inflow" estimate={cycle.inflow} cycle={cycle} />
      </td>
      <td data-label={`pump, ${unitName("flow", system)}`}>
        <Flow of="pump" estimate={cycle.pumpRate} cycle={cycle} />
      </td>
      <td data-label={`back, ${unitName("volume", system)}`}>{figure(cycle.drainBack_m3, "volume", system)}</td>
    </tr>
  );
}

function Flow({ of, estimate, cycle }: { of: string; estimate: FlowEstimate | null; cycle: Cycle }) {
  if (!estimate) return <>–</>;
  const shown = flowFigure(estimate, units.value);
  return (
    <>
      {shown.figure}{" "}
      <button
        type="button"
        class="interval"
        aria-label={`± ${shown.u95}, ${of}: how sure`}
        onClick={() => showHowSure(cycle)}
      >
        ± {shown.u95}
      </button>
    </>
  );
}
