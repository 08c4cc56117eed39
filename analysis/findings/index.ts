// Every rule there is. A new one is a file of its own and a line here.

import { channelFaults } from "./channel-fault.ts";
import { checkValveLeak } from "./check-valve-leak.ts";
import { dischargeBlocked } from "./discharge-blocked.ts";
import { floatStuckOff } from "./float-stuck-off.ts";
import { floatStuckOn } from "./float-stuck-on.ts";
import { highFloatStuckDown, highFloatStuckUp } from "./high-float-fault.ts";
import { highWater } from "./high-water.ts";
import { inflowExceedsPump } from "./inflow-exceeds-pump.ts";
import { oneStuckOff } from "./one-stuck-off.ts";
import { powerLost } from "./power-lost.ts";
import { pumpKeepsOn } from "./pump-keeps-on.ts";
import { pumpWorn } from "./pump-worn.ts";
import type { Rule } from "./rule.ts";
import { pumpSignalFault, secondSignalFault, sensorFault } from "./sensor-fault.ts";
import { shortCycling } from "./short-cycling.ts";
import { tripDrift } from "./trip-drift.ts";
import { undersized } from "./undersized.ts";

/** All of one shape, for they are gone through at every reading, and what is alike is found sooner. */
export const rules: readonly Rule[] = [
  highWater,
  inflowExceedsPump,
  undersized,
  shortCycling,
  floatStuckOff,
  oneStuckOff,
  floatStuckOn,
  pumpKeepsOn,
  checkValveLeak,
  dischargeBlocked,
  pumpWorn,
  powerLost,
  sensorFault,
  pumpSignalFault,
  secondSignalFault,
  tripDrift,
  highFloatStuckUp,
  highFloatStuckDown,
  ...channelFaults,
].map(inOneShape);

function inOneShape(rule: Rule): Rule {
  const { kind, severity, onDelay_s, offDelay_s, onReadings, notWhileCalm, onlyOnNews, onlyInTrouble } = rule;
  const { holds, evidence, worsen, conclude, message } = rule;
  return {
    kind,
    severity,
    onDelay_s,
    offDelay_s,
    onReadings,
    notWhileCalm,
    onlyOnNews,
    onlyInTrouble,
    holds,
    evidence,
    worsen,
    conclude,
    message,
  };
}
