// What everything starts from: what was measured, how much of the truth that is, and what to allow for beyond it.

import { rainSpreads } from "../../../analysis/paper/rain-words.ts";
import { rainDistributions } from "../../../analysis/storms/design-storm-site.ts";
import { Choice } from "../choice.tsx";
import { HandTestPanel } from "../hand-test-panel.tsx";
import { Logged } from "../logged.tsx";
import { SheetField } from "../number-field.tsx";
import { Seen } from "../seen.tsx";
import { byHand, change, measured, rain, sheet } from "../state.ts";

export function MeasuredStep() {
  const record = measured.value;
  const isLogged = record !== null && record.inflow.length > 0;
  return (
    <>
      {record === null && <p class="waiting">Asking for the record…</p>}
      {isLogged ? <Logged /> : record !== null && <p>Nothing has been logged yet. A hand test does for today.</p>}
      <Seen />
      {isLogged && (
        <fieldset class="switch shape-switch">
          <legend>Size by</legend>
          <button type="button" aria-pressed={!byHand.value} onClick={() => (byHand.value = false)}>
            The record
          </button>
          <button type="button" aria-pressed={byHand.value} onClick={() => (byHand.value = true)}>
            A hand test
          </button>
        </fieldset>
      )}
      {(!isLogged || byHand.value) && <HandTestPanel />}
      <h3>What to allow for beyond it</h3>
      <SheetField name="factor" />
      <SheetField name="stormDepth" />
      <SheetField name="stormDuration" />
      <Choice
        label="How its rain is spread"
        where="The published 24-hour type of your region; where none is published, balanced is the harder one."
        value={sheet.value?.distribution ?? null}
        choices={rainDistributions.map((value) => ({ value, word: rainSpreads[value] }))}
        choose={(distribution) => change({ distribution })}
      />
      <p class="where">
        What such a storm brings is foretold from the rain that was logged beside the inflow.{" "}
        {rain.value === null && (
          <>
            None was logged here; with another gauge's, <code>undercroft size --recording … --rain …</code> foretells
            it.
          </>
        )}
      </p>
    </>
  );
}
