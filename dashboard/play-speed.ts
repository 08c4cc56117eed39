// The speed of a simulation or a played recording on a slider: even steps of the slider multiply the speed. Pure.

/** A few speeds for buttons, none above the fastest. */
export function speedSteps(maxSpeed: number): number[] {
  return [1, 60, 600, 3600].filter((step) => step <= maxSpeed);
}

/** Slider 0…100 to a speed from 1 to the fastest, rounded to two figures. */
export function speedOf(slider: number, maxSpeed: number): number {
  const exact = maxSpeed ** (slider / 100);
  const unit = 10 ** Math.max(0, Math.floor(Math.log10(exact)) - 1);
  return Math.min(maxSpeed, Math.max(1, Math.round(exact / unit) * unit));
}

export function sliderOf(speed: number, maxSpeed: number): number {
  if (maxSpeed <= 1) return 0;
  const slider = (100 * Math.log(Math.max(1, speed))) / Math.log(maxSpeed);
  return Math.round(Math.min(100, slider));
}
