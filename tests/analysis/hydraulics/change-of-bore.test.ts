import { describe, expect, it } from "vitest";
import { changeOfBore, onBore } from "../../../analysis/hydraulics/change-of-bore.ts";
import { pipeVelocity_ms, velocityHead_m } from "../../../analysis/hydraulics/velocity-head.ts";

describe("changeOfBore", () => {
  it("loses, where it widens, the head of the difference of the velocities (Borda–Carnot)", () => {
    const [narrow, wide] = [0.03, 0.05];
    const [fast_ms, slow_ms] = [pipeVelocity_ms(0.001, narrow), pipeVelocity_ms(0.001, wide)];
    const loss_m = changeOfBore(narrow, wide).k * velocityHead_m(fast_ms);
    expect(loss_m).toBeCloseTo(velocityHead_m(fast_ms - slow_ms), 12);
  });

  it("loses half a velocity head into a pipe much narrower, as a square entrance does, and all of it into a tank", () => {
    expect(changeOfBore(10, 0.01).k).toBeCloseTo(0.5, 5);
    expect(changeOfBore(0.01, 10).k).toBeCloseTo(1, 5);
  });

  it("loses nothing where the bore stays", () => {
    expect(changeOfBore(0.04, 0.04).k).toBe(0);
  });
});

describe("onBore", () => {
  it("counts the same loss on another bore's velocity head", () => {
    const [of_m, on_m] = [0.03, 0.05];
    const head = (bore_m: number) => velocityHead_m(pipeVelocity_ms(0.001, bore_m));
    expect(onBore(0.8, of_m, on_m) * head(on_m)).toBeCloseTo(0.8 * head(of_m), 12);
  });
});
