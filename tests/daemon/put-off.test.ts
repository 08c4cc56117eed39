import { describe, expect, it } from "vitest";
import { putOff } from "../../daemon/put-off.ts";
import type { Store } from "../../daemon/stores/store.ts";

function noting(): { readonly store: Store; readonly noted: string[] } {
  const noted: string[] = [];
  const store = {
    saveCycle: () => noted.push("cycle"),
    saveFinding: () => noted.push("finding"),
    saveInflow: () => noted.push("inflow"),
    readingCount: () => 7,
  } as unknown as Store;
  return { store, noted };
}
const cycle = {} as Parameters<Store["saveCycle"]>[0];
const finding = {} as Parameters<Store["saveFinding"]>[0];
const stretch = {} as Parameters<Store["saveInflow"]>[0];

describe("what is saved", () => {
  it("waits until the urgent is done, and keeps its order", () => {
    const { store, noted } = noting();
    const put = putOff(store);
    put.during(() => {
      put.store.saveFinding(finding);
      put.store.saveInflow(stretch);
      put.store.saveCycle(cycle);
      noted.push("told");
    });
    expect(noted).toEqual(["told", "finding", "inflow", "cycle"]);
  });

  it("is saved all the same when the urgent fails", () => {
    const { store, noted } = noting();
    const put = putOff(store);
    const fails = () =>
      put.during(() => {
        put.store.saveFinding(finding);
        throw new Error("a defect");
      });
    expect(fails).toThrow("a defect");
    expect(noted).toEqual(["finding"]);
  });

  it("is announced after it, and before what is saved later", () => {
    const { store, noted } = noting();
    const put = putOff(store);
    put.during(() => {
      put.store.saveFinding(finding);
      put.afterwards(() => noted.push("announced"));
      put.store.saveCycle(cycle);
      noted.push("told");
    });
    expect(noted).toEqual(["told", "finding", "announced", "cycle"]);
  });

  it("is saved also where what was saved before it is refused", () => {
    const { store, noted } = noting();
    const refuses = () => {
      throw new RangeError("not known is null");
    };
    const put = putOff({ ...store, saveFinding: refuses });
    const work = () =>
      put.during(() => {
        put.store.saveFinding(finding);
        put.store.saveCycle(cycle);
      });
    expect(work).toThrow("not known is null");
    expect(noted).toEqual(["cycle"]);
  });

  it("is saved at once at any other time; the rest of the store stays as it is", () => {
    const { store, noted } = noting();
    const put = putOff(store);
    put.store.saveCycle(cycle);
    expect(noted).toEqual(["cycle"]);
    expect(put.store.readingCount()).toBe(7);
  });
});
