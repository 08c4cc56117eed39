// The hand test in the sizing answer: each repeat as a sum to do again, the range, and what to do next.

import type { Site } from "../site.ts";
import { normalQuantile } from "../statistics/normal-quantile.ts";
import { fromSi } from "../units/unit.ts";
import { figures, plusMinus, twoFigures, type Words, words } from "../units/words.ts";
import type { SizingHandTest } from "./answer/demand.ts";
import type { HandStep } from "./answer/figures.ts";
import type { HandTestResult, HandTestSetting } from "./hand-test.ts";
import { half, lpm, m3s, u95_lpm } from "./to-answer.ts";

/** @param site of the basin, for where its size comes from */
export function handTestAnswer(
  result: HandTestResult,
  setting: HandTestSetting,
  site: Pick<Site, "basin" | "displayUnits">,
): SizingHandTest {
  const say = words(site.displayUnits);

  return {
    repeats: result.repeats.map(({ rise_m, watched_s, volume_m3, flow_m3s, uReading_m3s }) => ({
      rise_mm: rise_m * 1000,
      watched_s,
      volume_l: volume_m3 * 1000,
      lpm: lpm(flow_m3s),
      u95_lpm: half(lpm(uReading_m3s)),
    })),
    inflow: { lpm: lpm(result.inflow.flow_m3s), u95_lpm: u95_lpm(result.inflow) },
    watch_s: result.watch?.each_s ?? null,
    wanted_percent: 100 * setting.wanted,
    enough: result.enough,
    steps: stepsOf(result, setting, site, say),
    message: messageOf(result, setting),
  };
}

function stepsOf(
  { repeats, inflow }: HandTestResult,
  setting: HandTestSetting,
  { basin, displayUnits }: Pick<Site, "basin" | "displayUnits">,
  say: Words,
): HandStep[] {
  const ruler = displayUnits === "us" ? "in" : "mm";
  const asRead = (length_m: number) => `${Number(fromSi(length_m, ruler).toPrecision(5))} ${ruler}`;
  const occupied = basin.geometry.shape !== "table" && basin.geometry.occupiedArea_m2 > 0;
  const { geometry, stopLevel_m } = setting;
  const area_m2 = geometry.area_m2(repeats[0]?.from_m ?? stopLevel_m ?? 0);
  const reading = "one reading at either end";
  const rulerHalf_m = Math.sqrt(3) * setting.uRuler_m;
  const inUnit = (flow_lpm: number) => fromSi(m3s(flow_lpm), say.flowUnit);
  return [
    {
      what: displayUnits === "us" ? "an inch of water" : "a millimetre of water",
      sum: `free water surface ${say.area(area_m2)} × ${displayUnits === "us" ? "1 in ÷ 231 in³ per gal" : "1 mm"}`,
      result: say.perHeight(area_m2),
      source: `the basin's own size${occupied ? ", pump and pipes taken off" : ""}`,
    },
    ...repeats.map(({ rise_m, watched_s, volume_m3, flow_m3s }, i) => ({
      what: `repeat ${i + 1}`,
      sum: `a rise of ${asRead(rise_m)} is ${say.volume(volume_m3)}; over ${figures(watched_s)} s`,
      result: say.flow(flow_m3s),
      source: null,
    })),
    {
      what: "inflow",
      sum:
        repeats.length === 1
          ? "as the one repeat has it"
          : `mean of ${repeats.length} repeats, each by how well it was read`,
      result: `${plusMinus(inUnit(lpm(inflow.flow_m3s)), inUnit(u95_lpm(inflow)))} ${say.flowUnit}`,
      source: `ruler ± ${displayUnits === "us" ? asRead(rulerHalf_m) : `${twoFigures(rulerHalf_m * 1000)} mm`} and watch ± ${figures(Math.sqrt(3) * setting.uWatch_s)} s, ${reading}${repeats.length === 1 ? "" : "; the repeats' own scatter"}; JCGM 100:2008`,
    },
  ];
}

const coverage = normalQuantile(0.975);

function messageOf({ repeats, within, enough, watch }: HandTestResult, { wanted, uGeometry }: HandTestSetting): string {
  const [known, aim] = [within, wanted].map((share) => `± ${twoFigures(100 * share)} %`);
  if (repeats.length === 1) {
    return `One repeat is known to ${known} by its readings; only a second and a third show whether the inflow stays as it is. Repeat it twice.`;
  }
  if (enough) return `The inflow is known to ${known}, and ${aim} was wanted: that is enough.`;
  if (watch === null && coverage * uGeometry < wanted) {
    return `The inflow is known to ${known}: from repeat to repeat it changes too much for ${aim}. Wait until it is steadier, or take it as it is.`;
  }
  if (watch === null) {
    return `The inflow is known to ${known}. The basin's own size leaves ± ${twoFigures(100 * coverage * uGeometry)} % open, so watching longer does not bring ${aim}: measure the basin again.`;
  }
  const more = watch.repeats > repeats.length ? `${watch.repeats} repeats in all` : `${watch.repeats} repeats`;
  return `The inflow is known to ${known}. For ${aim}, watch for ${figures(watch.each_s)} s each time, ${more}.`;
}
