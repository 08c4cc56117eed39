// What is not known and would let more be said: asked for, with where to find it, never made up.

import type { SizingRequest } from "./request.ts";
import type { SizingMissing } from "./sizing-answer.ts";
import type { StormDemand } from "./storm-demand.ts";

interface Question extends SizingMissing {
  readonly asked: boolean;
}

export function whatIsMissing({ site, logged, hand }: SizingRequest, storm: StormDemand | null): SizingMissing[] {
  const { basin, pump, pumps, discharge, design, backup } = site;
  const one = pumps === undefined ? "pump" : "pumps[0]";
  const noInflow = hand === null && (logged === null || logged.summary.inflow.peak["600"] === null);
  const noPower =
    logged?.runningPower_w == null &&
    pump?.inputPower_w == null &&
    pump?.efficiency == null &&
    backup?.pumpPower_w == null;
  const questions: readonly Question[] = [
    {
      asked: noInflow,
      key: "--recording, or --rise",
      what: "how much comes in",
      tells: "everything that follows from it: the required flow, the verdict, the time to the floor",
      where:
        "A logged week, best a wet one; or by hand: pump down, switch off, watch how far the water rises in how long",
    },
    {
      asked: discharge === null,
      key: "discharge",
      what: "the discharge: its highest point, its pipe, its fittings",
      tells: "the head to overcome, the duty point, the rating to ask for",
      where:
        "Follow the pipe with a tape from the pump to where the water leaves, and count its elbows and valves; the size is printed on the pipe",
    },
    {
      asked: pump?.curve == null,
      key: `${one}.curve`,
      what: "the pump's curve",
      tells: "what it should move here, and other pipes compared",
      where: "The maker's data sheet or the box: a curve, or a table of flow at 0, 5, 10, 15 ft",
    },
    {
      asked: basin.stopLevel_m === null,
      key: "basin.stop_level",
      what: "the level at which the pump stops",
      tells: "the greatest lift, the volume between the floats",
      where: "A ruler on the basin's bottom when the pump has just stopped",
    },
    {
      asked: basin.startLevel_m === null,
      key: "basin.start_level",
      what: "the level at which the pump starts",
      tells: "the volume between the floats, the starts, the time to the floor",
      where: "A ruler on the basin's bottom when the pump starts",
    },
    {
      asked: basin.overflowLevel_m === null,
      key: "basin.overflow_level",
      what: "the level at which water reaches the floor",
      tells: "how long it takes if the pump stops",
      where: "A tape from the basin's bottom to the lowest spot of the floor about it",
    },
    {
      asked: basin.highLevel_m === null && basin.inletLevel_m == null,
      key: "basin.inlet_level, basin.high_level",
      what: "how high the floats may stand",
      tells: "whether a start level fits under inlet and alarm",
      where:
        "A tape from the basin's bottom to the lower edge of the lowest pipe that brings water in, and to the high-water float",
    },
    {
      asked: pump?.maxStartsPerHour == null,
      key: `${one}.max_starts_per_hour`,
      what: "how often the motor may start in an hour",
      tells: "the volume that is needed between the floats",
      where: "The pump's data sheet; no standard gives it for small single-phase motors",
    },
    {
      asked: noPower,
      key: `${one}.input_power`,
      what: "what the motor draws while it runs",
      tells: "its energy in a year, and a battery",
      where: "The rating plate, volts times amperes, or a plug-in meter",
    },
    {
      asked: design.storm == null,
      key: "design.storm",
      what: "the storm to hold",
      tells: "the inflow in a worse storm than was logged, beside the flat allowance",
      where: "The public rainfall table of the place: depth in 24 h once in 10, 25 or 100 years, and its distribution",
    },
    {
      asked: design.storm != null && logged !== null && logged.rain === null,
      key: "rain_mm, or --rain",
      what: "the rain that fell meanwhile",
      tells: "what the storm to hold would bring",
      where: "A rain gauge beside the logger, or the nearest public station's record as time and rain_mm or rain_in",
    },
    {
      asked: backup?.hold_s == null,
      key: "backup.hold",
      what: "how long the house must get through a power cut",
      tells: "the battery for it",
      where: "What the owner wants; how long the longest cut of the last years was",
    },
    {
      asked: backup?.hold_s != null && backup.inverterIdle_w === null && backup.inverterEfficiency < 1,
      key: "backup.inverter_idle",
      what: "what the inverter draws while the pump rests",
      tells:
        "a battery that lasts as long as it is said to: over half a day, 10 W of it ask for some 20 Ah more at 12 V",
      where: "The inverter's data sheet: no-load or stand-by consumption",
    },
    {
      asked: backup?.hold_s != null && backup.temperature_c === null,
      key: "backup.temperature",
      what: "how cold the battery gets in winter",
      tells: "how much of its capacity is left then",
      where: "A thermometer where it stands, in the coldest week",
    },
  ];
  const asked = questions.filter((question) => question.asked).map(({ asked: _, ...question }) => question);
  const further = (storm?.seen?.still_missing ?? []).map((what) => ({
    key: "--recording",
    what,
    tells: "whether enough has been seen",
    where: "Leave the logger in place",
  }));
  return [...asked, ...further];
}
