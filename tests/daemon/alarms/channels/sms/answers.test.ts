// What a modem says, read without a modem: credit (3GPP TS 27.007, 7.15), text mode (TS 27.005, 3.1), reports put together.

import { describe, expect, it } from "vitest";
import { awaitReports } from "../../../../../daemon/alarms/channels/sms/awaited-reports.ts";
import { readCredit } from "../../../../../daemon/alarms/channels/sms/credit.ts";
import { readTextMode, readTextReport } from "../../../../../daemon/alarms/channels/sms/text-mode.ts";

describe("the network's word on the credit", () => {
  it.each([
    ['+CUSD: 0,"Credit 5.00",15', "Credit 5.00"],
    ['+CUSD: 0,"Credit\n5.00 ",15', "Credit 5.00"],
    ['+CUSD: 0,"123456789012",15', "123456789012"],
    ['+CUSD: 0,"E8329BFD4697D9EC37",15', "hellohello"], // the usual example of packed septets
    ['+CUSD: 0,"004F006B00200034",72', "Ok 4"],
    ["+CUSD: 2", "network's answer 2"],
  ])("%s says %s", (line, text) => expect(readCredit(line)).toBe(text));
});

describe("text mode", () => {
  it("names the sender of a message, straight or listed, and reads its octets as the GSM alphabet", () => {
    expect(readTextMode('+CMT: "+15550100",,"26/03/04,06:10:00+00"', "OK \u0000")).toEqual({
      ...{ from: "+15550100", text: "OK @" },
    });
    expect(readTextMode('+CMGL: 3,"REC UNREAD","+15550100",,"26/03/04"', "OK")?.from).toBe("+15550100");
    expect(readTextMode("+CMT: ,23", "OK")).toBeNull();
  });

  it("reads a report on one line, and nothing else as one", () => {
    expect(readTextReport('+CDS: 6,12,"+15550100",145,"26/03/04,06:10:00+00","26/03/04,06:10:04+00",64')).toEqual({
      ...{ reference: 12, status: 64 },
    });
    expect(readTextReport("+CDS: 25")).toBeNull();
  });
});

describe("reports of several parts", () => {
  const told: unknown[] = [];
  const start = () => {
    told.length = 0;
    return awaitReports((...receipt) => told.push(receipt));
  };

  it("are one receipt, also where the first is there before the last part has gone", () => {
    const reports = start();
    const outgoing = reports.begin("m1");
    outgoing.part(7);
    reports.take(7, true, null);
    outgoing.part(8);
    outgoing.complete();
    expect(told).toEqual([]);
    reports.take(8, true, null);
    reports.take(8, true, null);
    expect(told).toEqual([["m1", true, null]]);
  });

  it("say that it failed where one did, whatever comes of the others", () => {
    const reports = start();
    const outgoing = reports.begin("m2");
    for (const reference of [7, 8]) outgoing.part(reference);
    outgoing.complete();
    reports.take(7, false, "gave up");
    reports.take(8, true, null);
    expect(told).toEqual([["m2", false, "gave up"]]);
  });

  it("belong to the latest message of a reference, and say nothing of a modem without any", () => {
    const reports = start();
    for (const key of ["m3", "m4"]) {
      const outgoing = reports.begin(key);
      outgoing.part(7);
      outgoing.complete();
    }
    const bare = reports.begin("m5");
    bare.part(-1);
    bare.complete();
    reports.take(7, true, null);
    expect(told).toEqual([["m4", true, null]]);
  });
});
