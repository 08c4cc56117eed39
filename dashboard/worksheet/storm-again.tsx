// The worst storm of the record with the candidates' levels under it: the installation as it stands, and as on the sheet.

import { useComputed, useSignal } from "@preact/signals";
import { inflowChart } from "../../analysis/paper/inflow-chart.ts";
import { levelChart } from "../../analysis/paper/level-chart.ts";
import type { BasinSite } from "../../analysis/site.ts";
import { toSi } from "../../analysis/units/unit.ts";
import { site } from "../live.ts";
import { units } from "../preferences.ts";
import { CandidateTable } from "./candidate-table.tsx";
import { ChartBox } from "./chart-box.tsx";
import { answer } from "./reckon.ts";
import { isChanged, learned, measured, tried } from "./state.ts";
import { stormCourses } from "./storm-courses.ts";

const asItStands = "as it stands";
const cuts_h = [0, 1, 4, 12] as const;

export function StormAgain() {
  const cut_h = useSignal<number>(0);
  const peak = useComputed(() => measured.value?.summary.inflow.peak["600"] ?? null);
  const storm = useComputed(() => {
    const [record, info, sheet, at] = [measured.value, site.value, tried.value, peak.value];
    if (record === null || info === null || sheet === null || at === null) return null;
    const present = { name: asItStands, site: info.site };
    const candidates = isChanged.value ? [present, { name: "as on this sheet", site: sheet.site }] : [present];
    const peak_s = Date.parse(at.at) / 1000;
    return stormCourses(record.inflow, peak_s, candidates, learned.value?.known ?? null, cut_h.value * 3600);
  });
  const [found, info] = [storm.value, site.value];
  if (found === null || info === null) return null;
  const { timezone, basin } = info.site;
  const { from_s, to_s } = found;
  const at = peak.value;
  const sawStorm = (answer.value?.storms ?? []).length > 0;
  return (
    <section aria-labelledby="storm-title">
      <h3 id="storm-title">
        {sawStorm ? "The worst storm so far, run again" : "The highest inflow so far, run again"}
      </h3>
      <fieldset class="switch shape-switch">
        <legend>Mains out, at the worst moment for each</legend>
        {cuts_h.map((hours) => (
          <button key={hours} type="button" aria-pressed={cut_h.value === hours} onClick={() => (cut_h.value = hours)}>
            {hours === 0 ? "Not" : `${hours} h`}
          </button>
        ))}
      </fieldset>
      <ChartBox
        ratio={3.4}
        caption="What ran in."
        draw={(size) =>
          inflowChart({
            size,
            units: units.value,
            timezone,
            inflow: (measured.value?.inflow ?? []).filter((stretch) => stretch.to_s > from_s && stretch.from_s < to_s),
            peak: at && { time_s: Date.parse(at.at) / 1000, flow_m3s: toSi(at.lpm, "L/min") },
            required_m3s: null,
          })
        }
      />
      {found.courses.map(({ row, course }) => (
        <ChartBox
          key={row.name}
          ratio={3.4}
          caption={`Water level, ${row.name}.`}
          draw={(size) =>
            levelChart({
              size,
              units: units.value,
              timezone,
              from_s,
              to_s,
              courses: [{ name: row.name, course }],
              marks: marks(row.name === asItStands ? basin : (tried.value?.site.basin ?? basin)),
            })
          }
        />
      ))}
      <CandidateTable courses={found.courses} />
    </section>
  );
}

function marks({ overflowLevel_m, highLevel_m }: BasinSite) {
  return [
    ...(overflowLevel_m === null ? [] : [{ level_m: overflowLevel_m, word: "floor", kind: "floor" as const }]),
    ...(highLevel_m === null ? [] : [{ level_m: highLevel_m, word: "high water", kind: "high" as const }]),
  ];
}
