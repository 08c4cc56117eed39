// What a pump moves against its discharge: head falling with flow, lift and quadratic friction rising with it; they meet
// where a quadratic has its root. Wear takes head, a blockage adds friction, speed follows the affinity laws.

export interface PumpLaw {
  /** Head at no flow, and how it falls: by `linear` · Q + `quadratic` · Q². */
  readonly shutOff_m: number;
  readonly linear_sm2: number;
  readonly quadratic_s2m5: number;
}

export interface PipeLaw {
  /** Highest point above the inside bottom of the basin. */
  readonly highPoint_m: number;
  /** Friction head = `friction` · Q². */
  readonly friction_s2m5: number;
  /** Bore of the riser over the check valve, which stands full of water after a run. */
  readonly bore_m2: number;
}

/**
 * @param lift_m    from the water to the top of the column in the pipe, or to the high point once it is full
 * @param speed     share of full speed
 * @param headShare share of the head that wear has left
 * @param frictionTimes by how much a blockage multiplies the friction
 */
export function pumpFlow_m3s(
  pump: PumpLaw,
  pipe: PipeLaw,
  lift_m: number,
  speed = 1,
  headShare = 1,
  frictionTimes = 1,
): number {
  const left_m = speed * speed * pump.shutOff_m * headShare - lift_m;
  if (!(left_m > 0)) return 0;
  const square = pump.quadratic_s2m5 + pipe.friction_s2m5 * frictionTimes;
  const linear = pump.linear_sm2 * speed;
  return (2 * left_m) / (linear + Math.sqrt(linear * linear + 4 * square * left_m));
}

/**
 * What two pumps move together through one pipe: both stand against the head that their flows make in it. Found by halving.
 */
export function togetherFlow_m3s(
  pump: PumpLaw,
  pipe: PipeLaw,
  lift_m: number,
  speeds: readonly [number, number],
  headShares: readonly [number, number],
  frictionTimes = 1,
): number {
  const free: PipeLaw = { ...pipe, friction_s2m5: 0 };
  const flow_m3s = (head_m: number) =>
    pumpFlow_m3s(pump, free, head_m, speeds[0], headShares[0]) +
    pumpFlow_m3s(pump, free, head_m, speeds[1], headShares[1]);
  const friction_s2m5 = pipe.friction_s2m5 * frictionTimes;
  let [low_m, high_m] = [lift_m, Math.max(lift_m, pump.shutOff_m)];
  for (let i = 0; i < 50; i++) {
    const head_m = (low_m + high_m) / 2;
    if (lift_m + friction_s2m5 * flow_m3s(head_m) ** 2 > head_m) low_m = head_m;
    else high_m = head_m;
  }
  return flow_m3s((low_m + high_m) / 2);
}
