// The basin and its floats: shape, size and the levels that matter, with where to measure each from.

import { BasinSection } from "../../basin/basin-section.tsx";
import { live } from "../../live.ts";
import { SheetField } from "../number-field.tsx";
import { change, sheet, tried } from "../state.ts";

const shapes = [
  { shape: "round", word: "Round" },
  { shape: "rectangular", word: "Rectangular" },
] as const;

export function BasinStep() {
  const now = sheet.value;
  if (!now) return null;
  const situation = live.value?.situation;
  const basin = tried.value?.site.basin;
  return (
    <div class="with-drawing">
      <div>
        <p>
          All levels are heights above the <b>inside bottom</b> of the basin. A straight stick with a tape on it does;
          mind the pump's cord, and reach in only with the pump switched off.
        </p>
        {now.shape === "table" ? (
          <p class="where">
            The basin's shape is a table of levels and volumes in the site file, and stays as it is there.
          </p>
        ) : (
          <>
            <fieldset class="switch shape-switch">
              <legend>Shape, seen from above</legend>
              {shapes.map(({ shape, word }) => (
                <button key={shape} type="button" aria-pressed={now.shape === shape} onClick={() => change({ shape })}>
                  {word}
                </button>
              ))}
            </fieldset>
            {now.shape === "round" ? (
              <SheetField name="diameter" />
            ) : (
              <>
                <SheetField name="width" />
                <SheetField name="length" />
              </>
            )}
            <SheetField name="occupied" />
          </>
        )}
        <SheetField name="depth" />
        <SheetField name="stop" />
        <SheetField name="start" />
        <SheetField name="high" />
        <SheetField name="overflow" />
        <SheetField name="inlet" />
      </div>
      {basin && situation && (
        <div class="basin-drawing">
          <BasinSection basin={basin} situation={situation} stale={false} />
        </div>
      )}
    </div>
  );
}
