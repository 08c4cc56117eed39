// What must be held when the mains fail, and with which battery.

import { batteryCautions } from "../../../analysis/sizing/cautions.ts";
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
      <ul class="told where">
        {batteryCautions.map((each) => (
          <li key={each}>{each}</li>
        ))}
      </ul>
    </>
  );
}
