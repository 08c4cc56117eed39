import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { nobodyTold } from "../../../daemon/alarms/alarms-config.ts";
import { houseTime } from "../../../daemon/alarms/house-time.ts";
import { type Outbox, openOutbox } from "../../../daemon/alarms/outbox/outbox.ts";
import { openServiceBook } from "../../../daemon/alarms/service-book.ts";

const now_s = Date.parse("2026-11-01T22:30:00Z") / 1000;
let outbox: Outbox;
beforeEach(() => {
  outbox = openOutbox(null, { now_s: () => now_s, log: () => {} });
});
afterEach(() => outbox.close());

function book(last: string | null = null, wallStep_s = 0) {
  const config = { service: { ...nobodyTold.service, last } };
  return openServiceBook(outbox, config, { house: houseTime("Europe/Berlin", () => wallStep_s), now_s: () => now_s });
}

describe("the services of a basin", () => {
  it("are due at nine in the morning, the site's time, in winter as in summer", () => {
    const { due, due_s } = book("2026-05-01").view();
    expect([due, new Date((due_s ?? 0) * 1000).toISOString()]).toEqual(["2026-10-30", "2026-10-30T08:00:00.000Z"]);
    expect(book("2025-11-01").view().due_s).toBe(Date.parse("2026-05-02T07:00:00Z") / 1000);
    expect(book().view()).toMatchObject({ last: null, due: null, due_s: null });
  });

  it("go by the later of what was entered and what the site file says", () => {
    book().enter("Ann", "2026-06-01");
    expect(book("2026-05-01").view()).toMatchObject({ last: "2026-06-01", entered: true, by: "Ann" });
    expect(book("2026-07-01").view()).toMatchObject({ last: "2026-07-01", entered: false, by: null });
  });

  it("are entered for the day on the wall, also where the daemon's clock was started before the board had the time", () => {
    const late = book(null, 2 * 3600);
    expect([book().view().today, late.view().today]).toEqual(["2026-11-01", "2026-11-02"]);
    late.enter("Ann");
    // Nine on the wall is seven by the daemon's clock.
    expect(late.view()).toMatchObject({ last: "2026-11-02", due: "2027-05-03" });
    expect(late.view().due_s).toBe(Date.parse("2027-05-03T05:00:00Z") / 1000);
    expect(() => late.enter("Ann", "2026-11-03")).toThrow("day: expected 2026-11-02 or one before, found 2026-11-03");
  });

  it("are refused where they are of before all that are kept, and not journalled as if they were kept", () => {
    const services = book();
    for (let year = 2010; year < 2022; year++) services.enter("Ann", `${year}-05-01`);
    const journalled = () => outbox.journal(now_s - 1).length;
    const before = journalled();
    expect(() => services.enter("Ann", "2012-04-30")).toThrow(
      "day: expected one after 2012-05-01, for the last 10 are kept; found 2012-04-30",
    );
    expect(journalled()).toBe(before);
    services.enter("Ann", "2015-06-01");
    for (const year of [2021, 2020]) services.takeBack("Ann", `${year}-05-01`);
    expect(services.view().last).toBe("2019-05-01");
  });
});
