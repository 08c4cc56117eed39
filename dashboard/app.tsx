// The frame around every view: name, ways to the views, units, light or dark, the simulation's mark, cautions.

import { useSignalEffect } from "@preact/signals";
import type { ComponentType } from "preact";
import { live, site } from "./live.ts";
import { AlarmAsking } from "./parts/alarm-asking.tsx";
import { AlarmSaid } from "./parts/alarm-said.tsx";
import { Brand } from "./parts/brand.tsx";
import { Cautions } from "./parts/cautions.tsx";
import { ConnectionBar } from "./parts/connection-bar.tsx";
import { PlayBand } from "./parts/play-band.tsx";
import { ThemeButton, UnitSwitch } from "./parts/switches.tsx";
import { type ViewName, view, viewNames } from "./route.ts";
import { AlarmsView } from "./views/alarms.tsx";
import { CyclesView } from "./views/cycles.tsx";
import { FindingsView } from "./views/findings.tsx";
import { NowView } from "./views/now.tsx";
import { RecordView } from "./views/record.tsx";
import { WorksheetView } from "./views/worksheet.tsx";

const views: Readonly<Record<ViewName, { readonly title: string; readonly View: ComponentType }>> = {
  now: { title: "Now", View: NowView },
  record: { title: "Record", View: RecordView },
  cycles: { title: "Cycles", View: CyclesView },
  findings: { title: "Findings", View: FindingsView },
  alarms: { title: "Alarms", View: AlarmsView },
  sizing: { title: "Sizing", View: WorksheetView },
};

export function App() {
  const { View } = views[view.value];
  const name = site.value?.site.name ?? "Undercroft";
  useSignalEffect(() => {
    document.title = `${views[view.value].title} · ${site.value?.site.name ?? "Undercroft"}`;
  });

  return (
    <>
      <button type="button" class="skip" onClick={skipToMain}>
        Skip to the content
      </button>
      <header class="head">
        <div class="head-row">
          <Brand name={name} />
          <Ways />
          <div class="head-tools">
            <UnitSwitch />
            <ThemeButton />
          </div>
        </div>
        {site.value?.overview && (
          <p class="from-afar">
            <a href={site.value.overview}>All basins</a>
            <span>seen from the central view</span>
          </p>
        )}
        <PlayBand />
        <ConnectionBar />
      </header>
      <main id="main" tabIndex={-1}>
        <View />
      </main>
      <AlarmAsking />
      <AlarmSaid />
      <Cautions version={site.value?.version} />
    </>
  );
}

function Ways() {
  const { situation, alarms = null } = live.value ?? {};
  const open = situation?.openFindings.length ?? 0;
  const unanswered = alarms?.filter(({ state }) => state === "unacknowledged").length ?? 0;
  return (
    <nav class="ways" aria-label="Views">
      {viewNames.filter(isThere).map((name) => (
        <a key={name} href={`#${name}`} aria-current={view.value === name ? "page" : undefined}>
          {views[name].title}
          {name === "findings" && open > 0 && (
            <span class="count">
              {open}
              <span class="unseen"> open</span>
            </span>
          )}
          {name === "alarms" && unanswered > 0 && (
            <span class="count">
              {unanswered}
              <span class="unseen"> unanswered</span>
            </span>
          )}
        </a>
      ))}
    </nav>
  );
}

/** Nobody is called for what is played. */
function isThere(name: ViewName): boolean {
  return name !== "alarms" || (live.value?.alarms ?? null) !== null;
}

/** No link: the address's hash names the view. */
function skipToMain(): void {
  document.getElementById("main")?.focus();
}
