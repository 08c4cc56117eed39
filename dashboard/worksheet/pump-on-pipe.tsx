// The pump's curve against what the pipe asks for, as they are on the sheet.

import { pumpChart } from "../../analysis/paper/pump-chart.ts";
import { toSi } from "../../analysis/units/unit.ts";
import { site } from "../live.ts";
import { units } from "../preferences.ts";
import { ChartBox } from "./chart-box.tsx";
import { answer } from "./reckon.ts";
import { isChanged, tried } from "./state.ts";

export function PumpOnPipe() {
  const now = tried.value?.site;
  if (!now) return null;
  const { discharge, pump, basin } = now;
  const curve = pump?.curve ?? null;
  const stopLevel_m = basin.stopLevel_m;
  if (discharge === null || curve === null || stopLevel_m === null) {
    return (
      <p class="where">The pump's curve against the pipe is drawn here once pipe, pump and stop level are known.</p>
    );
  }
  const { head } = answer.value ?? { head: null };
  const before = site.value?.site.pump?.curve ?? null;
  const other =
    isChanged.value && before !== null && before !== curve
      ? [{ name: "the pump of the site file", curve: before }]
      : [];
  return (
    <ChartBox
      ratio={1.35}
      caption="Falling line: the pump. Rising lines: what the pipe asks for, solid with the water at the stop level, dashed at the start level. Rings: where they meet. Cross: what is required."
      draw={(size) =>
        pumpChart({
          size,
          units: units.value,
          discharge,
          startLevel_m: basin.startLevel_m,
          stopLevel_m,
          pumps: [{ name: "the pump", curve }, ...other],
          required: head && { flow_m3s: toSi(head.lpm, "L/min"), head_m: head.total_m },
        })
      }
    />
  );
}
