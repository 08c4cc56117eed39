// What the central view's file means, in words.

import type { Paragraph } from "../../config/describe-site.ts";
import { durationInWords } from "../../config/duration-in-words.ts";
import { inUrl } from "../../server/guard.ts";
import { addressOf } from "../../sources/mqtt/broker-link.ts";
import type { CentralFile } from "./central-file.ts";

export function describeCentral(file: CentralFile): Paragraph[] {
  const paragraphs = [
    { heading: "Basins", lines: describeBasins(file) },
    { heading: "Where it hears of them", lines: describeSources(file) },
    { heading: "Who sees what", lines: describeAccess(file) },
  ];
  return paragraphs.filter(({ lines }) => lines.length > 0);
}

function describeBasins({ basins, customers, view }: CentralFile): string[] {
  const groups = new Set(basins.map(({ group }) => group).filter((group) => group !== null));
  const withService = basins.filter(({ serviceDue_s }) => serviceDue_s !== null).length;
  const lines = [
    `${count(basins.length, "basin")} in ${count(groups.size, "group")}, of ${count(customers.size, "customer")}.`,
  ];
  if (withService > 0) lines.push(`For ${withService} of them it is known when service is due.`);
  lines.push(
    `A basin that is not heard for ${durationInWords(view.silentAfter_s)} is called silent, where its own entry says nothing else.`,
  );
  return lines;
}

function describeSources({ broker, database }: CentralFile): string[] {
  return [
    `Boards are heard at ${addressOf(broker.url)}, under ${broker.topic_prefix}/<name>.`,
    database === null
      ? "No database: a basin's page shows what is true now, and no record."
      : `Their records are read from ${database.database} at ${database.url}.`,
  ];
}

function describeAccess({ logins, server, phones }: CentralFile): string[] {
  const answering = logins.filter(({ customer, answers }) => customer !== null && answers === true).length;
  const staff = logins.filter(({ customer }) => customer === null).length;
  const scheme = server.tls === null ? "http" : "https";
  const lines = [`The page is at ${scheme}://${inUrl(server.host)}:${server.port}/.`];
  if (logins.length === 0) lines.push("No log-ins: whoever sits at this machine sees every basin.");
  else
    lines.push(
      `${count(staff, "log-in")} of staff, who see every basin; ${count(logins.length - staff, "log-in")} of customers, who see their own${answering === 0 ? "" : `; ${answering} of these may answer alarms`}.`,
    );
  if (phones != null)
    lines.push(
      `Phones are told of what has called for somebody for ${durationInWords(phones.tellAfter_s)}; they are kept in ${phones.file}.`,
    );
  if (server.behindTlsProxy) lines.push("A proxy on this machine speaks TLS with the outside.");
  if (logins.length > 0 && server.sessionKeyFile === null)
    lines.push("Log-ins end when the program does, for no session_key_file is given.");
  return lines;
}

function count(number: number, noun: string): string {
  return `${number} ${noun}${number === 1 ? "" : "s"}`;
}
