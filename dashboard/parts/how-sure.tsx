// What makes the figures of one cycle uncertain, source by source, over the page until it is closed.

import { signal, useSignalEffect } from "@preact/signals";
import { useRef } from "preact/hooks";
import type { Cycle } from "../../analysis/cycles/cycle.ts";
import { unitName } from "../format.ts";
import { howSureRows, isStated } from "../how-sure-rows.ts";
import { site } from "../live.ts";
import { units } from "../preferences.ts";
import { pumpNames, runSentences } from "../pump-words.ts";
import { siteTime } from "../site-time.ts";

const shown = signal<Cycle | null>(null);

export function showHowSure(cycle: Cycle): void {
  shown.value = cycle;
}

export function HowSure() {
  const dialog = useRef<HTMLDialogElement>(null);
  useSignalEffect(() => {
    if (shown.value !== null && dialog.current?.open === false) dialog.current.showModal();
  });
  const cycle = shown.value;
  return (
    <dialog ref={dialog} class="how-sure" aria-labelledby="how-sure" onClose={() => (shown.value = null)}>
      {cycle && <Budget cycle={cycle} />}
      <form method="dialog">
        <button type="submit">Close</button>
      </form>
    </dialog>
  );
}

function Budget({ cycle }: { cycle: Cycle }) {
  const flow = unitName("flow", units.value);
  const time = siteTime(site.value?.site.timezone ?? "UTC");
  return (
    <>
      <h2 id="how-sure">How sure: the cycle of {time.stamp(cycle.startedAt_s)}</h2>
      {runSentences(cycle, pumpNames(site.value?.site ?? {})).map((sentence) => (
        <p key={sentence}>{sentence}</p>
      ))}
      <table>
        <thead>
          <tr>
            <th scope="col">May be off by</th>
            <th scope="col">
              Inflow <small>± {flow}</small>
            </th>
            <th scope="col">
              Pump <small>± {flow}</small>
            </th>
          </tr>
        </thead>
        <tbody>
          {howSureRows(cycle, units.value).map(({ what, inflow, pump }) => (
            <tr key={what}>
              <th scope="row">{what}</th>
              <td>{inflow}</td>
              <td>{pump}</td>
            </tr>
          ))}
        </tbody>
      </table>
      <p class="quiet">
        The true figure lies within these bounds 95 times in 100.{" "}
        {isStated(cycle)
          ? "Calibration and size of the basin are as the site file states them; they err alike in every cycle."
          : "How well the basin and the sensor are known is not stated in the site file (measurement), so it is left out."}
      </p>
    </>
  );
}
