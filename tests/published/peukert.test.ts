// Battery runtimes after Peukert: the worked figures that textbooks print, and exact arithmetic with the same law.

import { describe, expect, it } from "vitest";
import {
  capacityFor_ah,
  dischargeTime_h,
  peukertExponent,
  temperatureFactor,
} from "../../analysis/sizing/battery/peukert.ts";

describe("Peukert's law, t = H·(C/(I·H))^k", () => {
  it.each([
    [100, 1.2, 10, 8.7055], // commonly printed as 8.7 h
    [100, 1.2, 5, 20],
    [100, 1.2, 20, 3.7893],
    [75, 1.25, 15, 3.5355],
    [100, 1.1, 10, 9.3303],
    [100, 1.1, 20, 4.3528],
    [100, 1.1, 50, 1.5887],
  ])("%d Ah in 20 h, exponent %d, at %d A lasts %d h", (capacity_ah, exponent, current_a, time_h) => {
    const rating = { capacity_ah, ratedHours: 20, exponent };
    expect(dischargeTime_h(rating, current_a)).toBeCloseTo(time_h, 4);
    expect(capacityFor_ah(current_a, dischargeTime_h(rating, current_a), 20, exponent)).toBeCloseTo(capacity_ah, 9);
  });

  it("is the original form t = C_p/I^k, whose C_p is no capacity in Ah at any rate that is on the label", () => {
    // An electrical-engineering note prints 14.5 h for C_p 100, k 1.2, 5 A. C at 20 h is 20·(C_p/20)^(1/k).
    const rating = { capacity_ah: 20 * (100 / 20) ** (1 / 1.2), ratedHours: 20, exponent: 1.2 };
    expect(rating.capacity_ah).toBeCloseTo(76.47, 2);
    expect(dischargeTime_h(rating, 5)).toBeCloseTo(14.4956, 4);
  });

  it("has an exponent of 1.132801 for 100 Ah in 20 h and 85 Ah in 5 h", () => {
    expect(peukertExponent({ capacity_ah: 100, hours: 20 }, { capacity_ah: 85, hours: 5 })).toBeCloseTo(1.132801, 6);
  });

  it("lasts 11.6471 h at 30 A for a fifth of the time, by the current while it is on, not by the average of 6 A", () => {
    const rating = { capacity_ah: 100, ratedHours: 20, exponent: 1.2 };
    expect(dischargeTime_h(rating, 30) / 0.2).toBeCloseTo(11.6471, 4);
    expect(dischargeTime_h(rating, 6)).toBeCloseTo(16.0699, 4);
  });

  it("does not count on more than the rated charge at a current below that of the rating", () => {
    expect(dischargeTime_h({ capacity_ah: 100, ratedHours: 20, exponent: 1.2 }, 2)).toBe(50);
    expect(capacityFor_ah(2, 50, 20, 1.2)).toBe(100);
  });
});

describe("a lead-acid battery in the cold (IEEE Std 485, table 1, from memory)", () => {
  it.each([
    [25, 1],
    [30, 1],
    [10, 1 / 1.19],
    [4.4, 1 / 1.3],
    [-20, 1 / 1.52],
  ])("has at %d °C a share of %d of its charge", (temperature_c, share) => {
    expect(temperatureFactor(temperature_c)).toBeCloseTo(share, 12);
  });

  it("loses steadily from row to row", () => {
    const shares = Array.from({ length: 60 }, (_, i) => temperatureFactor(-10 + i));
    expect(shares).toEqual(shares.toSorted((a, b) => a - b));
    expect(temperatureFactor(11.4)).toBeCloseTo(1 / 1.17, 6);
  });
});
