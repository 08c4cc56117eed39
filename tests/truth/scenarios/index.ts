// Every scenario there is.

import type { Scenario } from "../scenario.ts";
import { channelScenarios } from "./channels.ts";
import { limitScenarios } from "./limit.ts";
import { rowScenarios } from "./rows.ts";
import { sensorScenarios } from "./sensor.ts";
import { sickScenarios } from "./sick.ts";
import { stormScenarios } from "./storm.ts";
import { waterScenarios } from "./water.ts";
import { yearScenarios } from "./year.ts";

export const scenarios: readonly Scenario[] = [
  ...limitScenarios,
  ...waterScenarios,
  ...sensorScenarios,
  ...channelScenarios,
  ...rowScenarios,
  ...stormScenarios,
  ...sickScenarios,
  ...yearScenarios,
];
