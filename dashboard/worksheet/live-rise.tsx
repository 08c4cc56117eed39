// The hand test's rise by the live sensor, at a button: it watches until the inflow is sure enough, and writes it down.

import { useSignal, useSignalEffect } from "@preact/signals";
import { basinGeometry } from "../../analysis/geometry/basin.ts";
import type { Site } from "../../analysis/site.ts";
import { usuallyWanted } from "../../analysis/sizing/hand-test.ts";
import { liveTestSteps } from "../../analysis/sizing/hand-test-guide.ts";
import { type RiseSoFar, type RiseWatch, riseWatch } from "../../analysis/sizing/rise-watch.ts";
import { duration, flowFigure, quantity, unitName } from "../format.ts";
import { live } from "../live.ts";
import { units } from "../preferences.ts";
import { writeRise } from "./rises.ts";

interface Watching {
  readonly watch: RiseWatch;
  readonly from_m: number | null;
}

export function LiveRise({ site }: { site: Site }) {
  const watching = useSignal<Watching | null>(null);
  const soFar = useSignal<RiseSoFar | null>(null);
  useSignalEffect(() => {
    const now = watching.value;
    const situation = live.value?.situation;
    if (now === null || situation?.time_s == null) return;
    const found = now.watch.push(situation.time_s, situation.level_m);
    soFar.value = found;
    if (found.over !== null) watching.value = null;
  });

  const level_m = live.value?.situation.level_m ?? null;
  const running = live.value?.situation.pumpRunning === true;

  function begin(): void {
    const uGeometry = site.measurement?.uGeometry ?? 0;
    soFar.value = null;
    watching.value = {
      watch: riseWatch({ geometry: basinGeometry(site.basin.geometry), uGeometry, wanted: usuallyWanted }),
      from_m: level_m,
    };
  }

  function take(): void {
    const found = soFar.peek();
    if (found !== null && found.rise_m > 0 && found.watched_s > 0) {
      writeRise({ rise_m: found.rise_m, watched_s: found.watched_s, from_m: watching.peek()?.from_m ?? null });
    }
    watching.value = null;
  }

  if (level_m === null && watching.value === null) {
    return <p class="where">The level is not read here, so the live sensor cannot do this; use a ruler and a watch.</p>;
  }
  return (
    <div class="live-rise">
      <h4>With the live sensor, in place of ruler and watch</h4>
      <ol class="told">
        {liveTestSteps.map((each) => (
          <li key={each}>{each}</li>
        ))}
      </ol>
      {watching.value === null ? (
        <button type="button" disabled={running} onClick={begin}>
          Watch the rise with the live sensor
        </button>
      ) : (
        <button type="button" disabled={(soFar.value?.rise_m ?? 0) <= 0} onClick={take}>
          Write it down as a repeat
        </button>
      )}
      <p role="status" class="where">
        {running && watching.value === null
          ? "The pump runs: wait until it has stopped."
          : words(soFar.value, watching.value !== null)}
      </p>
    </div>
  );
}

function words(found: RiseSoFar | null, watching: boolean): string {
  if (found?.over === "fell") return "The water fell, so the pump ran: nothing was written down. Begin again.";
  if (found?.over === "silent") return "No reading came for a minute: nothing was written down. Begin again.";
  if (!watching) return "The pump must rest meanwhile.";
  if (found?.inflow == null) return "Waiting for the water to come to rest…";
  const { figure, u95 } = flowFigure(found.inflow, units.value);
  const so = `${quantity(found.rise_m, "level", units.value)} in ${duration(found.watched_s)}: ${figure} ± ${u95} ${unitName("flow", units.value)}.`;
  if (found.enough) return `${so} That is sure enough.`;
  if (found.remaining_s === null) return so;
  return `${so} Some ${duration(found.remaining_s)} more would make it sure enough.`;
}
