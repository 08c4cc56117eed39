// The whole record on one time axis: level above, inflow and pump below, with the ways to move in it.

import { useSignal, useSignalEffect } from "@preact/signals";
import { useEffect, useMemo } from "preact/hooks";
import { InflowChart } from "../charts/inflow-chart.tsx";
import { LevelChart } from "../charts/level-chart.tsx";
import { createRecordData, type RecordData } from "../charts/record-data.ts";
import { follow, followNow, keepUp, movedBy, pan, preset, visible, whole, zoom } from "../charts/record-span.ts";
import { requestFor, width_s } from "../charts/span.ts";
import { createSpanLoader } from "../charts/span-loader.ts";
import { duration } from "../format.ts";
import { live, now_s, site } from "../live.ts";
import { siteTime } from "../site-time.ts";

const presets = [
  { word: "1 h", wide_s: 3600 },
  { word: "6 h", wide_s: 6 * 3600 },
  { word: "24 h", wide_s: 86_400 },
  { word: "7 d", wide_s: 7 * 86_400 },
  { word: "All", wide_s: null },
] as const;

const columns = () => Math.min(1600, Math.max(300, innerWidth - 60));

export function RecordView() {
  const data = useSignal<RecordData | null>(null);
  const busy = useSignal(false);
  const failure = useSignal<string | null>(null);
  const loader = useMemo(
    () =>
      createSpanLoader<RecordData>({
        fetch: createRecordData(),
        done: (answer) => {
          data.value = answer;
          failure.value = null;
        },
        failed: (error) => {
          failure.value = error instanceof Error ? error.message : String(error);
        },
        busy: (loading) => {
          busy.value = loading;
        },
      }),
    [data, busy, failure],
  );
  useEffect(() => () => loader.stop(), [loader]);

  useSignalEffect(() => {
    if (now_s.value > 0) keepUp(columns());
  });
  useSignalEffect(() => {
    if (!visible.value) return;
    const { span, points } = requestFor(visible.value, columns());
    loader.want(span, points, data.peek() ? movedBy.value : "time");
  });

  const info = site.value;
  if (!info || !live.value) return <p class="waiting">Asking the daemon…</p>;
  const { timezone, basin } = info.site;
  return (
    <div class="record">
      <h1 class="unseen">Record</h1>
      {visible.value && <SpanTools />}
      {visible.value && (
        <p class="span-words" aria-live="polite">
          {siteTime(timezone).span(visible.value.from_s, visible.value.to_s)}{" "}
          <span class="quiet">({duration(width_s(visible.value))})</span>
          {busy.value && <span class="quiet"> · loading</span>}
        </p>
      )}
      {failure.value && (
        <p class="fault" role="alert">
          {failure.value}
        </p>
      )}
      {visible.value === null ? (
        <p class="waiting">No reading has been recorded yet. The charts begin with the first.</p>
      ) : (
        <>
          <LevelChart data={data} basin={basin} timezone={timezone} />
          <InflowChart data={data} timezone={timezone} />
          <p class="hint">
            Wheel or pinch to zoom, drag to mark a stretch, Shift and drag or one finger to move. With the keyboard on a
            chart: arrows, plus, minus, Home, End, 0.
          </p>
        </>
      )}
    </div>
  );
}

function SpanTools() {
  const wide_s = visible.value ? Math.round(width_s(visible.value)) : null;
  return (
    <div class="span-tools">
      <fieldset class="switch">
        <legend class="unseen">Stretch of time</legend>
        {presets.map(({ word, wide_s: preset_s }) => (
          <button
            key={word}
            type="button"
            aria-pressed={preset_s === null ? whole.value : follow.value && !whole.value && wide_s === preset_s}
            onClick={() => preset(preset_s)}
          >
            {word}
          </button>
        ))}
      </fieldset>
      <fieldset class="switch">
        <legend class="unseen">Move</legend>
        <button type="button" aria-label="Earlier" onClick={() => pan(-0.5)}>
          ←
        </button>
        <button type="button" aria-label="Show more time" onClick={() => zoom(0.5)}>
          −
        </button>
        <button type="button" aria-label="Show less time" onClick={() => zoom(2)}>
          +
        </button>
        <button type="button" aria-label="Later" onClick={() => pan(0.5)}>
          →
        </button>
      </fieldset>
      <button type="button" class="follow" aria-pressed={follow.value} onClick={followNow}>
        Follow now
      </button>
    </div>
  );
}
