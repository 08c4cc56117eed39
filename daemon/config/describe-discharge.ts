// A site's discharge in words: the way of the water, what the pump moves through it, how fast, and what it would move
// another day.

import { dischargeHead } from "../../analysis/hydraulics/discharge-head.ts";
import { meetDischarge } from "../../analysis/hydraulics/duty-point.ts";
import { type DutyRow, dutyPoints, usualConditions } from "../../analysis/hydraulics/duty-points.ts";
import { headWorksheet } from "../../analysis/hydraulics/head-worksheet.ts";
import { pipeBore } from "../../analysis/hydraulics/pipe-table.ts";
import { velocityOpinion } from "../../analysis/hydraulics/pipe-velocity.ts";
import { pumpCurve } from "../../analysis/hydraulics/pump-curve.ts";
import { twoPumpsTogether, withoutCheckValve } from "../../analysis/hydraulics/two-pumps.ts";
import { whyNoDutyPoint } from "../../analysis/hydraulics/why-no-duty-point.ts";
import { wearInWords } from "../../analysis/hydraulics/worn-pump.ts";
import type { PipeSection, Site } from "../../analysis/site.ts";
import type { UnitWords } from "./in-words.ts";

/** @returns no lines without a discharge */
export function describeDischarge(site: Site, words: UnitWords): string[] {
  const { discharge, pump, pumps, basin, displayUnits } = site;
  if (discharge === null) return [];
  const water_m = basin.stopLevel_m ?? 0;
  const level = basin.stopLevel_m === null ? "the bottom" : "the stop level";
  const { staticHead_m } = dischargeHead(discharge, 0, water_m);
  const lines = [
    ...(discharge.risers ?? []).flatMap((riser, i) =>
      riser === null ? [] : [`Pump ${i + 1} has a riser of its own: ${pipeInWords(riser, words)}`],
    ),
    pipeInWords(discharge, words),
    ...(discharge.further ?? []).map((section) => `Then ${pipeInWords(section, words)}`),
    `It lifts the water ${words.head(staticHead_m)} from ${level} to the highest point.`,
  ];
  if (pump?.curve == null) return lines;
  const curve = pumpCurve(pump.curve);
  const { dutyPoint: duty, reason } = meetDischarge(curve, discharge, water_m);
  if (duty === null) {
    return [...lines, `There is no duty point: ${whyNoDutyPoint(reason, curve, discharge, water_m, displayUnits)}.`];
  }
  const { frictionHead_m, lengths } = headWorksheet(discharge, duty.flow_m3s, water_m);
  const where = (label: string) => (lengths.length > 1 ? `the ${label}` : "the pipe");
  const made = `${words.head(duty.head_m)}, of which ${words.head(frictionHead_m)} is friction`;
  return [
    ...lines,
    `By its curve the pump moves ${words.flow(duty.flow_m3s)} here, water at ${level}, against ${made}.`,
    ...lengths.map(({ velocity_ms, label }) => velocityOpinion(velocity_ms, displayUnits, where(label)).message),
    ...describeOtherTimes(site, words),
    ...(pumps === undefined ? [] : describeTogether(pumps, discharge, water_m, words)),
  ];
}

/** The same pump with the water higher, worn, and through a pipe that is no longer clean. */
function describeOtherTimes(site: Site, words: UnitWords): string[] {
  const rows = dutyPoints(site).filter(({ pumps }) => pumps === "first");
  const moved = (at: DutyRow["at"], condition: DutyRow["condition"]) => {
    const row = rows.find((each) => each.at === at && each.condition === condition);
    return row?.flow_m3s == null ? null : words.flow(row.flow_m3s);
  };
  const atStart = moved("start", "as-given");
  const [worn, clogged] = [moved("stop", "worn"), moved("stop", "clogged")];
  const { wear, closedShare } = usualConditions;
  const lines: string[] = [];
  if (atStart !== null) lines.push(`With the water at the start level it moves ${atStart}.`);
  if (worn !== null && wear !== null) lines.push(`Worn, so that it ${wearInWords(wear)}, it would move ${worn}.`);
  if (clogged !== null && closedShare !== null) {
    lines.push(`With ${100 * closedShare} % of the pipe's area closed by deposit it would move ${clogged}.`);
  }
  return lines;
}

function pipeInWords({ pipe }: PipeSection, words: UnitWords): string {
  const { label, insideDiameter_m } = pipeBore(pipe);
  return `${words.head(pipe.length_m)} of ${label}, ${words.level(insideDiameter_m)} inside.`;
}

function describeTogether(
  [first, second]: NonNullable<Site["pumps"]>,
  discharge: NonNullable<Site["discharge"]>,
  water_m: number,
  words: UnitWords,
): string[] {
  if (first.curve === null || second.curve === null) return [];
  const { duty } = twoPumpsTogether([pumpCurve(first.curve), pumpCurve(second.curve)], discharge, water_m);
  if (duty === null) return [];
  const [one, other] = duty.pumps.map(({ flow_m3s }) => words.flow(flow_m3s));
  const together = `Together the two move ${words.flow(duty.flow_m3s)}: the first ${one}, the second ${other}.`;
  const shut = duty.pumps.findIndex(({ heldShut }) => heldShut);
  return [
    together,
    ...(shut === -1 ? [] : [`Pump ${shut + 1} then moves nothing: the other holds its check valve shut.`]),
    ...(discharge.risers === undefined ? [] : withoutCheckValve(discharge)).map(
      (pump) => `The riser of pump ${pump + 1} lists no check valve: at rest it lets the other's water run back.`,
    ),
  ];
}
