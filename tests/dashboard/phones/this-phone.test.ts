import { describe, expect, it } from "vitest";
import { idOf } from "../../../daemon/push/phone-book.ts";
import { phoneId } from "../../../dashboard/phones/phone-id.ts";
import { obstacle } from "../../../dashboard/phones/this-phone.ts";

const able = {
  ...{ isSecureContext: true, navigator: { serviceWorker: {} }, PushManager: class {} },
  Notification: { permission: "default" },
};

describe("this phone", () => {
  it.each([
    ["nothing", {}, null],
    ["plain http", { isSecureContext: false }, "insecure"],
    ["a browser without service workers", { navigator: {} }, "unable"],
    ["a browser that offers it from the home screen alone", { PushManager: undefined }, "unable"],
    ["notices that are switched off", { Notification: { permission: "denied" } }, "forbidden"],
  ])("finds %s in its way", (_, changes, found) => {
    expect(obstacle({ ...able, ...changes })).toBe(found);
  });

  it("goes by the same name here and on the board", async () => {
    for (const endpoint of ["https://push.example.org/one", "https://push.example.org/ü?=+/"])
      expect(await phoneId(endpoint)).toBe(idOf(endpoint));
  });
});
