// /ack/<token>: the page behind the link in a message. Looking changes nothing (mail programs look at links by themselves);
// the button acknowledges.

import type { FastifyReply } from "fastify";
import type { AlarmDesk, Server, ServerParts } from "../server-parts.ts";

interface Request {
  readonly Params: { readonly token: string };
}

export function addAcknowledgeRoutes(server: Server, { alarms = null, siteInfo }: ServerParts): void {
  const house = siteInfo.site.name;
  // In a scope of its own: nothing else takes a body that a form of another page could send. This form's is empty.
  server.register(async (scope) => {
    scope.addContentTypeParser("application/x-www-form-urlencoded", { parseAs: "string" }, (_request, _body, done) => {
      done(null, {});
    });
    scope.get<Request>("/ack/:token", async ({ params }, reply) => page(reply, house, alarms, params.token, false));
    scope.post<Request>("/ack/:token", async ({ params }, reply) => page(reply, house, alarms, params.token, true));
  });
}

function page(
  reply: FastifyReply,
  house: string,
  alarms: AlarmDesk | null,
  token: string,
  pressed: boolean,
): FastifyReply {
  const standing = alarms?.byToken(token) ?? null;
  reply.headers({
    "content-type": "text/html; charset=utf-8",
    "cache-control": "no-store",
    "content-security-policy":
      "default-src 'none'; style-src 'unsafe-inline'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'",
  });
  if (alarms === null || standing === null) {
    return reply
      .code(404)
      .send(html(house, "Not known", "<p>This link belongs to no alarm, or to one of long ago.</p>"));
  }
  const { contact, alarms: told } = standing;
  const open = told.filter(({ isOver, acknowledgedBy }) => !isOver && acknowledgedBy === null);
  if (pressed) for (const { name } of open) alarms.acknowledge(name, contact, "link");
  const heading = told.map(({ title }) => title).join(", then ");
  const advice = told.filter(({ isOver }) => !isOver).map(({ whatToDo }) => `<p>${escaped(whatToDo)}</p>`);
  return reply.send(html(house, heading, `${advice.join("")}${said(standing, open.length > 0, pressed)}`));
}

function said({ alarms }: Standing, isOpen: boolean, pressed: boolean): string {
  if (isOpen && !pressed) {
    return `<form method="post"><button type="submit">I'll see to it</button></form><p>The next person is then not called.</p>`;
  }
  if (isOpen) return "<p>Thank you. Noted: nobody further is called.</p>";
  if (alarms.every(({ isOver }) => isOver)) return "<p>It is over.</p>";
  const by = new Set(alarms.flatMap(({ acknowledgedBy }) => (acknowledgedBy === null ? [] : [acknowledgedBy])));
  const who = `${[...by].join(" and ")} ${by.size === 1 ? "is" : "are"} seeing to it`;
  return `<p>${escaped(who)}: nobody further is called.</p>`;
}

type Standing = NonNullable<ReturnType<AlarmDesk["byToken"]>>;

function html(house: string, title: string, body: string): string {
  return `<!doctype html><html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width"><meta name="color-scheme" content="light dark">
<title>${escaped(house)}: ${escaped(title)}</title><style>body{font:1.25rem/1.5 system-ui,sans-serif;max-width:32rem;margin:2rem auto;padding:0 1rem;color:#1c2733;background:#f6f4ef}
h1{line-height:1.2;margin-top:0}a{color:#123f5a}
button{font:inherit;font-weight:600;padding:.8rem 1.4rem;border:0;border-radius:.5rem;background:#123f5a;color:#fff}
@media(prefers-color-scheme:dark){body{color:#f0ede6;background:#14191d}a{color:#7cc4e0}button{background:#f0ede6;color:#14191d}}</style></head>
<body><p>${escaped(house)}</p><h1>${escaped(title)}</h1>${body}<p><a href="../#now">How it stands now</a></p></body></html>
`;
}

function escaped(text: string): string {
  return text.replaceAll("&", "&amp;").replaceAll("<", "&lt;").replaceAll(">", "&gt;").replaceAll('"', "&quot;");
}
