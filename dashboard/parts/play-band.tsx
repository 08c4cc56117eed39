// Says on every view that the basin is not real, or that the time is not the present, and sets how fast that time runs.

import { useSignal } from "@preact/signals";
import { api } from "../api.ts";
import { live, now_s, site } from "../live.ts";
import { sliderOf, speedOf, speedSteps } from "../play-speed.ts";
import { siteTime } from "../site-time.ts";

export function PlayBand() {
  const info = site.value;
  if (!info || (!info.invented && !info.playing)) return null;
  const mark = info.invented ? "Simulation — not a real basin" : "Recording, played back — not the present";
  return (
    <div class="band">
      <p class="band-mark">{mark}</p>
      {isPlaying(live.value) && (
        <p class="band-time">
          <span class="unseen">Time in the basin: </span>
          <time>{siteTime(info.site.timezone).shortDayAndClock(now_s.value)}</time>
        </p>
      )}
      <SpeedControl />
    </div>
  );
}

/** Before the first reading nobody knows what time it is there. */
function isPlaying(state: typeof live.value): boolean {
  return state !== null && (state.situation.time_s !== null || state.speed === null);
}

function SpeedControl() {
  const failure = useSignal<string | null>(null);
  const wanted = useSignal<number | null>(null);
  const state = live.value;
  if (!state || state.speed === null || state.maxSpeed === null) return null;
  const { maxSpeed } = state;
  const speed = wanted.value ?? state.speed;

  const set = async (next: number) => {
    wanted.value = next;
    try {
      await api.setSpeed(next);
      failure.value = null;
    } catch (error) {
      failure.value = error instanceof Error ? error.message : String(error);
    }
    // The next state says what it became.
    setTimeout(() => {
      if (wanted.value === next) wanted.value = null;
    }, 1500);
  };

  return (
    <fieldset class="speed">
      <legend class="unseen">Speed of time</legend>
      {speedSteps(maxSpeed).map((step) => (
        <button key={step} type="button" aria-pressed={speed === step} onClick={() => set(step)}>
          {step}×
        </button>
      ))}
      <input
        type="range"
        min="0"
        max="100"
        step="1"
        aria-label="Speed of time"
        aria-valuetext={`${speed} times as fast`}
        value={sliderOf(speed, maxSpeed)}
        onInput={(event) => set(speedOf(event.currentTarget.valueAsNumber, maxSpeed))}
      />
      <output>{speed}×</output>
      {failure.value && <span role="alert">{failure.value}</span>}
    </fieldset>
  );
}
