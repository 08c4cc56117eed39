// The hand test as it is told to the person who makes it. Its cautions come first: cautions.ts.

/** In order. */
export const handTestSteps: readonly string[] = [
  "Make it in the wettest weather that you can: what you find is the inflow of that hour, no more.",
  "Hold a ruler upright in the basin from outside, its nought on the bottom, and note where the water stands when the pump starts and when it stops.",
  "When the pump has just stopped, unplug it. Wait ten seconds until what runs back from the pipe is through.",
  "Note the level and start the watch. After a minute note the level again; in dry weather wait longer, until it has risen some 2 in (50 mm).",
  "Plug the pump in and let it pump down. Do it twice more.",
  "What is asked for is how far the water rose, in how long: 8 in in 60 s.",
];

/** While a level sensor watches in place of the ruler. */
export const liveTestSteps: readonly string[] = [
  "Let the pump empty the basin, then unplug it, and press the button.",
  "Stay beside it. The first ten seconds are left out; then the inflow and how sure it is are shown, second by second.",
  "When it says that it is enough, or when the water nears the inlet or the high-water level, plug the pump in again.",
];
