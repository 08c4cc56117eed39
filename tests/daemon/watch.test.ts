import { expect, it } from "vitest";
import type { Analyzer, AnalyzerSink } from "../../analysis/analyzer.ts";
import { openSqliteStore } from "../../daemon/stores/sqlite-store.ts";
import { startWatch } from "../../daemon/watch.ts";
import { smallSite } from "../analysis/small-basin.ts";
import { cycles, findings } from "../fixtures/stores/content.ts";

const always = { from_s: 0, to_s: 1e12 };

it("a finding is told to people first, then kept on the card, and announced only then; a cycle likewise", () => {
  const store = openSqliteStore(":memory:");
  const [cycle] = cycles;
  const [finding] = findings;
  if (cycle === undefined || finding === undefined) throw new Error("the fixture has neither");
  const said: string[] = [];
  const kept = () => `${store.cycles(always, 9).length} cycles, ${store.findings(always, 9).length} findings kept`;
  let sink: AnalyzerSink = {};
  const analyzer = {
    push({ level_m }: { readonly level_m: number | null }) {
      if (level_m === 1) sink.finding?.(finding, "began");
      sink.cycle?.(cycle, "settled");
    },
    snapshot: () => null,
  } as unknown as Analyzer;
  const watch = startWatch({
    site: smallSite,
    store,
    createAnalyzer: (_, options) => {
      sink = options?.sink ?? {};
      return analyzer;
    },
    version: "1",
    now_s: () => 0,
    urgent: () => said.push(`told: ${kept()}`),
    listener: {
      finding: () => said.push(`finding: ${kept()}`),
      cycle: () => said.push(`cycle: ${kept()}`),
    },
  });
  watch.take({ time_s: 1_767_614_400, level_m: 1 });
  watch.take({ time_s: 1_767_614_401, level_m: 2 });
  expect(said).toEqual([
    "told: 0 cycles, 0 findings kept",
    "finding: 0 cycles, 1 findings kept",
    "cycle: 1 cycles, 1 findings kept",
    "cycle: 1 cycles, 1 findings kept",
  ]);
  store.close();
});
