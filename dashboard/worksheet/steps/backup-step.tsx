// What must be held when the mains fail, and with which battery.

import { SheetField } from "../number-field.tsx";

export function BackupStep() {
  return (
    <>
      <p>
        Power fails in storms, when the most water comes. Leave empty what is not wanted or not known; what stands empty
        is not reckoned with.
      </p>
      <SheetField name="hold" />
      <SheetField name="backupPower" />
      <SheetField name="backupFlow" />
      <h3>A battery that is there, or offered</h3>
      <SheetField name="capacity" />
      <SheetField name="ratedHours" />
      <SheetField name="volts" />
      <p class="where">
        <b>Batteries and generators:</b> a battery can burn a hand and a charging one gives off hydrogen: keep it aired,
        dry and fused, and let who is licensed wire it. Never run an engine indoors or beside an open window: carbon
        monoxide kills without a smell.
      </p>
    </>
  );
}
