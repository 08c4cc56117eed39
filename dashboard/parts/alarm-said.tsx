// What came of what a person did about an alarm, wherever on the page he is: what was done goes by itself, what failed stays
// until it is read.

import { useSignalEffect } from "@preact/signals";
import { alarmSaid, asking } from "../alarm-acts.ts";

const shown_ms = 8000;

export function AlarmSaid() {
  useSignalEffect(() => {
    const said = alarmSaid.value;
    if (said === null || said.failed) return;
    const gone = setTimeout(() => {
      if (alarmSaid.peek() === said) alarmSaid.value = null;
    }, shown_ms);
    return () => clearTimeout(gone);
  });
  const said = alarmSaid.value;
  // A question that is open says itself why it was not done.
  const words = said === null || (said.failed && asking.value !== null) ? "" : said.words;
  return (
    <div class={`said ${said?.failed ? "said-failed" : ""}`} hidden={words === ""}>
      <p role={said?.failed ? "alert" : "status"}>{words}</p>
      {words !== "" && (
        <button type="button" onClick={() => (alarmSaid.value = null)}>
          Close
        </button>
      )}
    </div>
  );
}
