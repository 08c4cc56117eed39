// The pump: its curve, point by point from the data sheet, and what its motor allows.

import { unitName } from "../../format.ts";
import { site } from "../../live.ts";
import { units } from "../../preferences.ts";
import { fields } from "../fields.ts";
import { NumberField, SheetField } from "../number-field.tsx";
import type { CurveRow } from "../sheet.ts";
import { change, sheet } from "../state.ts";

const mostRows = 12;
const fewestRows = 3;
const blank: CurveRow = { flow_m3s: null, head_m: null };

export function PumpStep() {
  const now = sheet.value;
  if (!now) return null;
  const rows = [...now.curve];
  while (rows.length < fewestRows) rows.push(blank);
  const set = (row: number, part: Partial<CurveRow>) =>
    change({ curve: rows.map((each, i) => (i === row ? { ...each, ...part } : each)) });
  return (
    <>
      {site.value?.site.pumps && (
        <p>This is the pump on duty. Its standby stays as the site file has it, and is reckoned with beside it.</p>
      )}
      <h3>The pump's curve</h3>
      <p class="where">
        From the curve or the table in the pump's data sheet, or on its carton: how much it moves at which head,
        smallest flow first. Two points at the least; the head at no flow is the first. A rating of one flow at one head
        is not enough.
      </p>
      <table class="curve-table">
        <thead>
          <tr>
            <th scope="col">Flow, {unitName("flow", units.value)}</th>
            <th scope="col">Head, {unitName("head", units.value)}</th>
            <th scope="col">
              <span class="unseen">Take away</span>
            </th>
          </tr>
        </thead>
        <tbody>
          {rows.map((row, i) => (
            <tr key={i}>
              <td>
                <NumberField
                  bare
                  field={fields.curveFlow}
                  label={`Flow, point ${i + 1}`}
                  value={row.flow_m3s}
                  set={(flow_m3s) => set(i, { flow_m3s })}
                />
              </td>
              <td>
                <NumberField
                  bare
                  field={fields.curveHead}
                  label={`Head, point ${i + 1}`}
                  value={row.head_m}
                  set={(head_m) => set(i, { head_m })}
                />
              </td>
              <td>
                <button
                  type="button"
                  aria-label={`Take away point ${i + 1}`}
                  onClick={() => change({ curve: rows.filter((_, other) => other !== i) })}
                >
                  ×
                </button>
              </td>
            </tr>
          ))}
        </tbody>
      </table>
      {rows.length < mostRows && (
        <button type="button" onClick={() => change({ curve: [...rows, blank] })}>
          Add a point
        </button>
      )}
      <SheetField name="maxStarts" />
      <SheetField name="minRun" />
      <SheetField name="inputPower" />
    </>
  );
}
