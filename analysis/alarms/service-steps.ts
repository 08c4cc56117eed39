// What belongs to the half-yearly service of a basin and its pump, step by step: for the page, and for whoever reads the
// alarm's text. Common practice, no source; codes and the pump's own instructions come first. Pure.

export const serviceSteps: readonly string[] = [
  "Unplug the pump, or switch its breaker off, with dry hands and from a dry place, before you reach in. Do not climb in, and leave a basin with sewage to those who are licensed for it.",
  "Take out gravel, silt and what floats. See that the float swings free of walls, cords and pipes.",
  "Look at the check valve, the clamps and the pipe, and outside at the outlet: free it of leaves, ice and grass.",
  "To measure the volume between the floats: with the pump still unplugged and the water where the pump stops, pour in water from a bucket that you have measured, and count, until the float stands where it starts the pump. It goes into the site file as basin.active_volume.",
  "Plug the pump in again and stand back. Pour in water until it starts; see that it pumps down, stops, and that the water leaves outside. The newest line under Cycles says what it moved: hold it against those of half a year ago.",
  "Lift the high-water float with a dry stick for a minute: you should be told. Send a test to everybody else.",
  "Switch the supply off for a moment, where a second pump or a battery stands by, and see that it takes over. Batteries give off gas: no flame near them.",
];
