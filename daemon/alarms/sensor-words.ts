// What is wrong with a sensor, by the evidence of its finding, in the few words that a text message has room for. Pure.

/** @returns null where there are no words for it */
export function sensorInWords(channel: string, problem: string): string | null {
  const words = ofChannel[channel]?.[problem];
  return words === undefined ? null : `The ${words}.`;
}

const ofChannel: Readonly<Record<string, Readonly<Record<string, string>>>> = {
  level: {
    frozen: "level sensor is stuck",
    "out-of-range": "level sensor reads what cannot be",
    "dropping-out": "level sensor keeps cutting out",
    "out-of-water": "level sensor hangs out of the water",
    implausible: "level sensor jumps about",
    "zero-drift": "level sensor's zero has drifted, or the float slips",
    "span-drift": "level sensor's span has drifted",
    "re-zeroed": "level sensor was set anew or moved",
  },
  high_float: {
    "stuck-on": "high float is up though the level is low",
    "stuck-off": "high float is down though the level is high",
  },
  pump_on: ofPump("pump's signal"),
  float_on: ofPump("float's contact"),
  pump_current_a: ofPump("motor's current"),
  pump_power_w: ofPump("motor's power"),
  mains_on: { contradicted: "supply's contact says there is none, but the pump runs" },
};

function ofPump(name: string): Readonly<Record<string, string>> {
  return { frozen: `${name} does not follow the pump`, "out-of-range": `${name} reads what cannot be` };
}
