// Every scenario there is.

import type { Scenario } from "../scenario.ts";
import { channelScenarios } from "./channels.ts";
import { installedScenarios } from "./installed.ts";
import { limitScenarios } from "./limit.ts";
import { mixedScenarios } from "./mixed.ts";
import { rowScenarios } from "./rows.ts";
import { sensorScenarios } from "./sensor.ts";
import { lateSick } from "./sick-late.ts";
import { pumpSick } from "./sick-pump.ts";
import { sensorSick } from "./sick-sensor.ts";
import { startsSick } from "./sick-starts.ts";
import { supplySick } from "./sick-supply.ts";
import { stormScenarios } from "./storm.ts";
import { twoPumpScenarios } from "./two-pumps.ts";
import { waterScenarios } from "./water.ts";
import { yearScenarios } from "./year.ts";

export const scenarios: readonly Scenario[] = [
  ...limitScenarios,
  ...waterScenarios,
  ...sensorScenarios,
  ...channelScenarios,
  ...rowScenarios,
  ...installedScenarios,
  ...stormScenarios,
  ...twoPumpScenarios,
  ...supplySick,
  ...pumpSick,
  ...startsSick,
  ...sensorSick,
  ...lateSick,
  ...mixedScenarios,
  ...yearScenarios,
];
