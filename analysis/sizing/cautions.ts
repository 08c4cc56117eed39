// The cautions that go with every sizing answer and with the hand test. Work beside water, mains and batteries can kill.

export const sizingCautions: readonly string[] = [
  "Advice only: local codes and licensed practice decide. No figure here stands in for either.",
  "Mains power beside water can kill. Leave wiring to someone licensed for it, on a circuit with a ground-fault breaker.",
  "Never reach into the basin while the pump is plugged in, and do not climb in: it is a confined space. Keep it covered.",
  "Where the discharge goes is ruled by local codes: not into the sanitary sewer, not onto a neighbour's ground.",
];

export const handTestCautions: readonly string[] = [
  "Dry hands, dry shoes, a dry place to stand. Unplug at an outlet with a ground-fault breaker; if the outlet is or was wet, switch the circuit off at the panel first, or leave it alone.",
  "Hold the ruler from outside the basin. Never reach in with the pump plugged in; do not enter the basin.",
  "Stay beside it, and plug the pump in again before the water reaches the inlet or the high-water level. Do not let it overflow.",
  "See the pump start and pump down once before you leave.",
];

export const batteryCautions: readonly string[] = [
  "A lead-acid battery gives off hydrogen while it charges: air the room, keep sparks and flames away, cover the terminals, fuse it at the battery. Its acid burns; wear goggles.",
  "No engine-driven generator runs in the house, the garage or near a window: its carbon monoxide kills. Feed the house from one only through a transfer switch that someone licensed has put in.",
  "An inverter has to start the motor, which for a moment draws several times what it draws while running: ask for that figure too.",
];

export const sewageCaution =
  "Sewage needs a sealed, vented basin and another pump: none of this is for it. Open ones give off gases that kill.";
