// The reader's own switches: units, and light or dark.

import type { UnitSystem } from "../format.ts";
import { chooseUnits, nextTheme, theme, units } from "../preferences.ts";

export function UnitSwitch() {
  return (
    <fieldset class="switch">
      <legend class="unseen">Units</legend>
      <UnitButton system="us" word="US" />
      <UnitButton system="metric" word="Metric" />
    </fieldset>
  );
}

function UnitButton({ system, word }: { system: UnitSystem; word: string }) {
  return (
    <button type="button" aria-pressed={units.value === system} onClick={() => chooseUnits(system)}>
      {word}
    </button>
  );
}

const themeWord = { auto: "Auto", light: "Light", dark: "Dark" } as const;

export function ThemeButton() {
  const word = themeWord[theme.value];
  return (
    <button type="button" class="theme" onClick={nextTheme} aria-label={`Light or dark: ${word}. Change`}>
      <svg viewBox="0 0 20 20" aria-hidden="true">
        <circle cx="10" cy="10" r="7.5" fill="none" stroke="currentColor" stroke-width="1.6" />
        {theme.value === "auto" && <path d="M10 2.5a7.5 7.5 0 0 1 0 15z" fill="currentColor" />}
        {theme.value === "dark" && <circle cx="10" cy="10" r="7.5" fill="currentColor" />}
      </svg>
      <span>{word}</span>
    </button>
  );
}
