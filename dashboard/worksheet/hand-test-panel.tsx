// The hand test, guided: pump off, watch the rise, again and again; by ruler and watch, or by the live sensor.

import { basinGeometry } from "../../analysis/geometry/basin.ts";
import type { Site } from "../../analysis/site.ts";
import { handTestCautions } from "../../analysis/sizing/cautions.ts";
import {
  type HandTestResult,
  handTest,
  usuallyWanted,
  usualRuler_m,
  usualWatch_s,
} from "../../analysis/sizing/hand-test.ts";
import { handTestSteps } from "../../analysis/sizing/hand-test-guide.ts";
import { duration, flowFigure, unitName } from "../format.ts";
import { units } from "../preferences.ts";
import { fields } from "./fields.ts";
import { LiveRise } from "./live-rise.tsx";
import { NumberField } from "./number-field.tsx";
import { freshRise, type TypedRise, typedRises, wholeRises } from "./rises.ts";
import { tried } from "./state.ts";

export function HandTestPanel() {
  const site = tried.value?.site;
  if (!site) return null;
  const whole = wholeRises.value;
  const result = whole.length > 0 ? handTest(whole, settingOf(site)) : null;
  return (
    <section class="hand-test" aria-labelledby="hand-test-title">
      <h3 id="hand-test-title">Hand test</h3>
      <ol class="told">
        {handTestSteps.map((each) => (
          <li key={each}>{each}</li>
        ))}
      </ol>
      <ul class="told where">
        {handTestCautions.map((each) => (
          <li key={each}>{each}</li>
        ))}
      </ul>
      <LiveRise site={site} />
      <table class="curve-table">
        <thead>
          <tr>
            <th scope="col">Repeat</th>
            <th scope="col">Rise, {unitName("level", units.value)}</th>
            <th scope="col">Watched, s</th>
          </tr>
        </thead>
        <tbody>
          {typedRises.value.map((row, i) => (
            <tr key={row.id}>
              <th scope="row">{i + 1}</th>
              <td>
                <NumberField
                  bare
                  field={fields.rise}
                  label={`Rise, repeat ${i + 1}`}
                  value={row.rise_m}
                  set={(rise_m) => set(row, { rise_m })}
                />
              </td>
              <td>
                <NumberField
                  bare
                  field={fields.watched}
                  label={`Watched for, repeat ${i + 1}`}
                  value={row.watched_s}
                  set={(watched_s) => set(row, { watched_s })}
                />
              </td>
            </tr>
          ))}
        </tbody>
      </table>
      <button
        type="button"
        onClick={() => {
          typedRises.value = [...typedRises.value, freshRise()];
        }}
      >
        Add a repeat
      </button>
      {result && <Outcome result={result} />}
    </section>
  );
}

export function settingOf(site: Site) {
  const { basin, measurement } = site;
  const room_m =
    basin.stopLevel_m !== null && basin.highLevel_m !== null ? basin.highLevel_m - basin.stopLevel_m : null;
  return {
    geometry: basinGeometry(basin.geometry),
    uGeometry: measurement?.uGeometry ?? 0,
    stopLevel_m: basin.stopLevel_m,
    uRuler_m: usualRuler_m,
    uWatch_s: usualWatch_s,
    wanted: usuallyWanted,
    room_m,
  };
}

function set(row: TypedRise, part: Partial<TypedRise>): void {
  typedRises.value = typedRises.value.map((each) => (each.id === row.id ? { ...each, ...part } : each));
}

function Outcome({ result }: { result: HandTestResult }) {
  const { figure, u95 } = flowFigure(result.inflow, units.value);
  const { watch, repeats, enough } = result;
  const next =
    repeats.length < 2
      ? "One repeat does not show whether the inflow stays as it is. Repeat it twice."
      : enough
        ? "That is sure enough."
        : watch === null
          ? "No watching makes it surer: the basin's own size is not known better."
          : `To be sure enough, watch ${duration(watch.each_s)} in each of ${watch.repeats} repeats.`;
  return (
    <p role="status" class="outcome">
      <b>
        {figure} ± {u95} {unitName("flow", units.value)}
      </b>{" "}
      come in now. {next}
    </p>
  );
}
